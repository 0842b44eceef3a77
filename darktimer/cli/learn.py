"""``darktimer learn``: hear each cue, then answer drills by one key, the last over a tap."""

from collections.abc import Collection
from dataclasses import asdict
from typing import TYPE_CHECKING, Final

import click

from darktimer.cli.options import cues_option, json_option
from darktimer.cues.cue_set import CueSet
from darktimer.cues.reader import load_cue_set
from darktimer.errors import OutputError
from darktimer.learn.drill import RUNNING, Drill
from darktimer.learn.lesson import LESSONS, Lesson, lesson, says
from darktimer.terminal.table import Table
from darktimer.terminal.text import console, print_json

if TYPE_CHECKING:  # load numpy, which scores can be shown without
    from darktimer.cues.tone import Samples
    from darktimer.learn.sounds import Sounds
    from darktimer.output.player import Player

_KEYS: Final = "123456789abcdefghijklmnoprstuvwxyz"  # q ends
_AGAIN: Final = " "
_END: Final = "qQ\x03\x04\x1b"
_OVER: Final = {"quiet": "in the quiet", "tap": "over a running tap"}


class _EnoughError(Exception):
    """The learner wants no more."""


@click.command("learn")
@cues_option
@click.option(
    "--lesson",
    "name",
    type=click.Choice(LESSONS),
    default="act-now",
    show_default=True,
    help="What asks for an act at once, the baths by their signatures, or all.",
)
@click.option("--drill-only", is_flag=True, help="Do not play each cue with its meaning first.")
@click.option("--seed", type=int, help="The same number asks the same questions.")
@click.option("--device", metavar="NAME", help="The speaker, by its name or a part of it.")
@click.option("--scores", is_flag=True, help="Show the scores that were kept, and play nothing.")
@json_option
def command(
    cue_set: str,
    name: str,
    drill_only: bool,
    seed: int | None,
    device: str | None,
    scores: bool,
    as_json: bool,
) -> None:
    """Learn the cues by ear, in the light, before the first film.

    You hear each cue with its meaning. Then cues come in random order and you answer each by one
    key; what you miss comes again. The last drill is over the noise of a tap. You are ready when
    every cue was right three times running.

    \b
    Example:
      darktimer learn
      darktimer learn --lesson baths --cues at-night
      darktimer learn --scores
    """
    if scores:
        _show_scores(as_json)
        return
    if as_json:
        raise click.UsageError("--json goes with --scores")
    from darktimer.learn.sounds import Sounds
    from darktimer.output.player import Player

    cues = load_cue_set(cue_set)
    sounds = Sounds(cues, _first_seed(seed))
    with Player(sounds.rate, device) as player:
        _greet(cues)
        try:
            _sitting(cues, name, _Asked(player, sounds), drill_only)
        except _EnoughError:
            click.echo("\nEnded. A drill that was not finished does not count in the scores.")


def _sitting(cues: CueSet, name: str, asked: "_Asked", drill_only: bool) -> None:
    """Each cue with its meaning, then the drills, as far as the learner comes."""
    words = lesson(cues, name)
    if not drill_only:
        _play_each(cues, words, asked)
    for over in _OVER:
        drill = Drill(words, asked.sounds.seed)
        _drill(drill, cues, asked, over)
        _keep(drill, cues, name, over)
        _tell(drill, cues, over)
        if not drill.ready:
            return
    click.echo("You are ready.")


def _first_seed(seed: int | None) -> int:
    from random import randrange

    return randrange(2**31) if seed is None else seed


def _greet(cues: CueSet) -> None:
    out = console()
    out.print(f"{cues.name}: {cues.rule}\n")
    out.print("Volume: start low. The space bar plays a sound again, q ends.\n")


def _play_each(cues: CueSet, words: Lesson, asked: "_Asked") -> None:
    click.echo("Each sound with its meaning; any other key plays the next:")
    for word, told in words.items():
        click.echo(f"  {word}: {says(cues, word)}")
        asked.key(asked.sounds.quiet(told[0]))
    click.echo("")


def _drill(drill: Drill, cues: CueSet, asked: "_Asked", over: str) -> None:
    """Asks until the drill has no more questions."""
    keys = dict(zip(_KEYS, drill.scores, strict=False))
    click.echo(f"Which one do you hear, {_OVER[over]}? Press its key:")
    for key, word in keys.items():
        click.echo(f"  {key}  {word}: {says(cues, word)}")
    while meaning := drill.question():
        sounds = asked.sounds
        played = sounds.over_tap(meaning) if over == "tap" else sounds.quiet(meaning)
        answered = keys[asked.key(played, keys)]
        right = drill.answer(answered)
        running = drill.scores[right].running
        if answered == right:
            click.echo(f"  yes: {right} ({min(running, RUNNING)} of {RUNNING} in a row)")
        else:
            click.echo(f"  no, that was {right}, not {answered}; it comes again")


class _Asked:
    """A sound put as a question, and the key that answers it."""

    def __init__(self, player: "Player", sounds: "Sounds") -> None:
        self._player = player
        self.sounds = sounds

    def key(self, samples: "Samples", keys: Collection[str] = ()) -> str:
        """The key pressed while a sound plays or after it; any where none are named."""
        while True:
            self._player.begin(samples)
            key = _key()
            while keys and key not in keys and key != _AGAIN:
                click.echo(f"  press one of {' '.join(keys)}, the space bar to hear it again, or q")
                key = _key()
            if key != _AGAIN:
                return key


def _key() -> str:
    try:
        key = click.getchar()
    except (EOFError, KeyboardInterrupt):
        raise _EnoughError from None
    except OSError:
        raise OutputError("keyboard", "there is none", "learn at a terminal") from None
    if not key or key in _END:
        raise _EnoughError
    return key.lower()


def _keep(drill: Drill, cues: CueSet, name: str, over: str) -> None:
    """A score that cannot be kept is no reason to stop learning."""
    from darktimer.learn.scores import done, keep

    try:
        keep(done(drill, cues.name, name, over))
    except OutputError as error:
        click.echo(f"The score is not kept: {error}", err=True)


def _tell(drill: Drill, cues: CueSet, over: str) -> None:
    if drill.ready:
        click.echo(f"Every one was right {RUNNING} times running, {_OVER[over]}.\n")
        return
    click.echo(f"\nNot sure yet, {_OVER[over]}. Rest, then practise:")
    for word in drill.to_practise():
        taken = drill.taken_for(word)
        mistaken = f", taken for {', '.join(taken)}" if taken else ""
        click.echo(f"  {word}: {says(cues, word)}{mistaken}")


def _show_scores(as_json: bool) -> None:
    from darktimer.journal.clocks import local_text, utc_ms
    from darktimer.learn.scores import kept, totals

    drills = kept()
    summed = totals(drills)
    last = drills[-1] if drills else None
    if as_json:
        words = {word: asdict(standing) for word, standing in summed.items()}
        print_json({"drills": len(drills), "ready": bool(last and last.ready), "words": words})
        return
    if last is None:
        click.echo("No drill was done yet. Begin one: darktimer learn")
        return
    day = local_text(utc_ms(last.at))[:10]
    click.echo(f"Drills: {len(drills)}, the last on {day} with {last.cue_set}.\n")
    columns = [("Cue", "left"), ("Asked", "right"), ("Right", "right"), ("In a row", "right")]
    rows = [[w, str(s.asked), str(s.right), str(s.running)] for w, s in summed.items()]
    console().print(Table(columns, rows))
