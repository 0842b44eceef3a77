"""What a recording holds, against what its plan asks for: as a page and for scripts."""

import sys
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path
from typing import Any

import click

from darktimer.ear.alignment import HIGHEST_PPM, MIXED_UP_PPM, Alignment
from darktimer.ear.hearing import Detection
from darktimer.ear.verdict import FEWEST_ACTS, Check, Verdict
from darktimer.process import meanings
from darktimer.terminal.table import print_table
from darktimer.terminal.text import say
from darktimer.units import clock, nearest_clock


def telling(heard: Iterable[Detection]) -> Iterator[Detection]:
    """Passes on what is heard, and tells a terminal how far the ear has come."""
    shows = sys.stderr.isatty()
    if shows:
        click.echo("Listening ...", err=True, nl=False)
    for one in heard:
        if shows:
            click.echo(f"\rListening: {nearest_clock(one.at_ms)} ", err=True, nl=False)
        yield one
    if shows:
        click.echo(f"\r{' ' * 24}", err=True, nl=False)
        click.echo("\r", err=True, nl=False)


def verdict_json(
    recording: Path, length_ms: float, verdict: Verdict, waits: Sequence[tuple[str, int]]
) -> dict[str, Any]:
    """All that was heard, for scripts."""
    line, elsewhere = verdict.alignment, verdict.elsewhere
    return {
        "recording": str(recording),
        "length_ms": round(length_ms),
        "offset_ms": round(line.offset_ms, 1) if line else None,
        "clock_ppm": round(line.ppm, 1) if line else None,
        "waits": [{"step": step, "longer_ms": longer_ms} for step, longer_ms in waits],
        "cues": [_row(check) for check in verdict.checks],
        "unplanned": [{**_heard(one), "meaning": one.meaning} for one in verdict.unplanned],
        "act_now_lost": len(verdict.act_now_lost),
        "damaged": len(verdict.damaged),
        "false_acts": len(verdict.false_acts),
        "false_light_safe": sum(h.meaning == meanings.LIGHT_SAFE for h in verdict.false_acts),
        "elsewhere_ms": round(elsewhere.offset_ms, 1) if elsewhere else None,
        "too_few_acts": verdict.too_few,
        "fits_as_well": [rival.title for rival in verdict.rivals],
        "sure": verdict.sure,
    }


def _heard(one: Detection | None) -> dict[str, Any]:
    return {
        "heard_ms": round(one.at_ms, 1) if one else None,
        "margin_db": round(one.margin_db, 1) if one else None,
    }


def _row(check: Check) -> dict[str, Any]:
    return {
        "at_ms": check.cue.at_ms,
        "meaning": check.cue.meaning,
        "act_now": meanings.asks(check.cue.meaning),
        "state": check.state,
        "missing": [round(share, 2) for share in check.missing],
        "heard_as": check.detection.meaning if check.detection else None,
        "error_ms": round(check.error_ms, 1) if check.error_ms is not None else None,
        **_heard(check.detection),
    }


def print_verdict(verdict: Verdict, waits: Sequence[tuple[str, int]]) -> None:
    """Each cue of the plan, what was heard besides, and whether that is safe to work by.

    ``waits`` are the steps that waited, each with its ms, which are below 0 where it was cut short.
    """
    columns = [("At", "point"), ("Cue", "left"), ("Heard", "left"), ("In file", "right")]
    columns += [("Error, ms", "right"), ("Over noise, dB", "right")]
    print_table(columns, map(_cells, verdict.checks))
    say("")
    for one in verdict.unplanned:
        say(
            f"Not planned: {one.meaning} at {nearest_clock(one.at_ms)} of the recording, "
            f"{one.margin_db:.0f} dB over the noise"
        )
    for step, longer_ms in waits:
        say(_waited(step, longer_ms))
    for sentence in _sentences(verdict):
        say(sentence)


def _cells(check: Check) -> list[str]:
    one = check.detection
    if one is None or check.error_ms is None:
        return [clock(check.cue.at_ms), check.cue.meaning, check.state, "", "", ""]
    word = {"heard": "yes", "damaged": "damaged"}.get(check.state, f"as {one.meaning}")
    place = [clock(check.cue.at_ms), check.cue.meaning, word, nearest_clock(one.at_ms)]
    return [*place, f"{round(check.error_ms):+d}", f"{one.margin_db:.0f}"]


def _waited(step: str, longer_ms: int) -> str:
    seconds = f"{abs(longer_ms) / 1000:.1f} s"
    how = f"waited {seconds} for the hands" if longer_ms > 0 else f"was over {seconds} sooner"
    way = "later" if longer_ms > 0 else "sooner"
    return f"{step} {how}: all after it is so much {way} than planned."


def _begins(offset_ms: float) -> str:
    """Which of the two began first."""
    seconds = f"{abs(offset_ms) / 1000:.1f} s"
    if offset_ms < 0:
        return f"The recording begins {seconds} into the plan."
    return f"The plan begins {seconds} into the recording."


def _clock(ppm: float) -> str:
    """How far the clocks of player and recorder are apart, in what a person can work with."""
    if abs(ppm) <= HIGHEST_PPM:
        return f"The recorder's clock is off by {round(ppm * 3.6):+d} ms an hour."
    way, late = ("fast", "early") if ppm < 0 else ("slow", "late")
    percent = abs(1 / (1 + ppm * 1e-6) - 1) * 100
    found = (
        f"The player's clock is {percent:.2g} % {way}, or the recorder's the other way: "
        f"{abs(ppm) * 900e-6:.1f} s {late} after 15 min."
    )
    if any(abs(ppm - each) < 2 * HIGHEST_PPM for each in MIXED_UP_PPM):
        found += " So it is where one takes 44.1 kHz for 48 kHz."
    return found


def _elsewhere(unplanned: Sequence[Detection], place: Alignment, own: Alignment) -> str:
    """What a cut, a pause, or a second run look like."""
    first, last = (nearest_clock(one.at_ms) for one in (unplanned[0], unplanned[-1]))
    shift_ms = place.offset_ms - own.offset_ms
    way = "later" if shift_ms > 0 else "earlier"
    return (
        f"What is not planned, from {first} to {last} of the recording, fits the plan "
        f"{abs(shift_ms) / 1000:.1f} s {way}: a cut, a pause, or another run."
    )


def _sentences(verdict: Verdict) -> Iterator[str]:
    if verdict.alignment is None:
        yield "No cue of this plan was heard: another plan, another cue set, or too much noise."
        return
    states = [check.state for check in verdict.checks]
    count = Counter(states)
    yield (
        f"{count['heard']} cues heard, {count['damaged']} damaged, {count['missed']} missed, "
        f"{count['mistaken']} mistaken, {count['outside']} outside the recording, "
        f"{len(verdict.unplanned)} not planned."
    )
    yield _begins(verdict.alignment.offset_ms)
    yield _clock(verdict.alignment.ppm)
    if verdict.elsewhere:
        yield _elsewhere(verdict.unplanned, verdict.elsewhere, verdict.alignment)
    lost = verdict.act_now_lost
    for check in lost:
        cue = f"{check.cue.meaning} at {clock(check.cue.at_ms)}"
        yield f"Lost: {cue}, which asks for an act{_lack('; ', check.missing)}"
    for check in verdict.damaged:
        if check not in lost:
            cue = f"{check.cue.meaning} at {clock(check.cue.at_ms)}"
            yield f"Damaged: {cue}{_lack(': ', check.missing)}"
    for one in verdict.false_acts:
        at = nearest_clock(one.at_ms)
        yield f"False: {one.meaning} at {at} of the recording, where it is not due"
    yield from _uncertainties(verdict)
    yield "Every cue that asks for an act can be heard." if verdict.sure else _not_sure(verdict)


def _lack(between: str, missing: Sequence[float]) -> str:
    return f"{between}{_gone(missing)}, and no noise hides it" if any(missing) else ""


def _gone(missing: Sequence[float]) -> str:
    """Which pulses are missing, by their places."""
    whole = [number for number, share in enumerate(missing, 1) if share == 1]
    if len(whole) == len(missing):
        return "nothing of it is there"
    if len(whole) > 1:
        return f"pulses {', '.join(map(str, whole))} of {len(missing)} are missing"
    one = whole[0] if whole else next(n for n, share in enumerate(missing, 1) if share)
    place = {len(missing): "its last pulse", 1: "its first pulse"}
    which = place.get(one, f"pulse {one} of {len(missing)}")
    return f"{which} is missing" if whole else f"a part of {which} is missing"


def _uncertainties(verdict: Verdict) -> Iterator[str]:
    """Why a recording in which nothing is wrong may still be one of something else."""
    if verdict.too_few:
        yield (
            f"Too few acts: the recording holds {verdict.acts('heard')}, "
            f"and a part of a run needs {FEWEST_ACTS}."
        )
    for rival in verdict.rivals:
        yield f'It fits "{rival.title}" as well: {_begins(rival.alignment.offset_ms)}'


def _not_sure(verdict: Verdict) -> str:
    return "Not sure: record more of the run." if verdict.fits else "Not safe to work by."
