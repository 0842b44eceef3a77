"""What was kept of the drills that were done."""

from dataclasses import asdict

import click

from darktimer.journal.clocks import local_text, utc_ms
from darktimer.learn.again import learnt
from darktimer.learn.scores import kept, totals
from darktimer.terminal.table import print_table
from darktimer.terminal.text import print_json


def print_scores(as_json: bool) -> None:
    """How often each word was asked and right, over all drills."""
    drills = kept()
    summed = totals(drills)
    last = drills[-1] if drills else None
    again = learnt(drills)
    if as_json:
        words = {word: asdict(standing) for word, standing in summed.items()}
        ready = bool(last and last.ready)
        due = [{**one._asdict(), "due": one.due and one.due.isoformat()} for one in again]
        print_json({"drills": len(drills), "ready": ready, "again": due, "words": words})
        return
    if last is None:
        click.echo("No drill was done yet. Begin one: darktimer learn")
        return
    day = local_text(utc_ms(last.at))[:10]
    click.echo(f"Drills: {len(drills)}, the last on {day} with {last.cue_set}.\n")
    for one in again:
        if one.due:
            click.echo(f"Asked again on {one.due}: {one.lesson} with {one.cue_set}.\n")
    columns = [("Cue", "left"), ("Asked", "right"), ("Right", "right")]
    rows = [[w, str(s.asked), str(s.right)] for w, s in summed.items()]
    print_table(columns, rows)
