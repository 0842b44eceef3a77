"""``darktimer learn``: hear each cue, then answer a drill over a running tap by one key."""

from random import randrange

import click

from darktimer.cli.options import cues_option, device_option, json_option, plan_if_any_argument
from darktimer.cues.reader import load_cue_set
from darktimer.learn.lesson import LESSONS, lesson, lesson_of_plan


@click.command("learn")
@plan_if_any_argument
@cues_option
@click.option(
    "--lesson",
    "name",
    type=click.Choice(list(LESSONS)),
    help="Without a PLAN: what asks for an act at once (the default), the baths by their "
    "signatures, or all.",
)
@click.option("--drill-only", is_flag=True, help="Do not play each cue with its meaning first.")
@click.option("--seed", type=int, help="The same number asks the same questions.")
@device_option
@click.option("--scores", is_flag=True, help="Show the scores that were kept, and play nothing.")
@json_option
def command(
    plan: str | None,
    cue_set: str,
    name: str | None,
    drill_only: bool,
    seed: int | None,
    device: str | None,
    scores: bool,
    as_json: bool,
) -> None:
    """Learn the cues by ear, in the light, before the first film.

    With a PLAN you learn what a run of it will play and nothing else: its baths, its acts, the
    question and the answers to keys, the alarm.

    You hear each cue with its meaning. Then cues come in random order over the noise of a tap, and
    you answer each by one key; two that you mix up are both played, and come again. A cue is sure
    after six right answers, and three more for each wrong one; you are ready when all are sure: who
    guesses between two is called ready less than once in 1,000 sittings. What you have learnt is
    asked again the next day, and a week after that: learn says when.

    \b
    Example:
      darktimer learn open-tub-half-agitation
      darktimer learn --lesson baths --cues at-night
      darktimer learn --scores
    """
    if scores:
        from darktimer.pages.scores import print_scores

        print_scores(as_json)
        return
    if as_json:
        raise click.UsageError("--json goes with --scores")
    if plan and name:
        raise click.UsageError("a PLAN says what is learnt, so it goes without --lesson")
    from darktimer.learn.sounds import Sounds
    from darktimer.output.player import Player
    from darktimer.output.speakers import Speakers
    from darktimer.pages.answers import EnoughError
    from darktimer.pages.sitting import Sitting

    if plan:
        from darktimer.prepare.prepared import prepare

        prepared = prepare(plan, cue_set, None)
        cues, learnt = prepared.cue_set, lesson_of_plan(prepared.cue_set, prepared.timeline, plan)
    else:
        cues = load_cue_set(cue_set)
        learnt = lesson(cues, name or "act-now")
    sounds = Sounds(cues, randrange(2**31) if seed is None else seed)
    with Player(Speakers(name=device, rate=sounds.rate)) as player:
        try:
            Sitting(cues, learnt, sounds, player).hold(drill_only=drill_only)
        except EnoughError:
            click.echo("\nEnded. A drill that was not finished does not count in the scores.")
