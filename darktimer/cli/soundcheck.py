"""``darktimer soundcheck``: whether each cue carries to where the head will be."""

from collections.abc import Iterator
from textwrap import fill
from typing import TYPE_CHECKING, Any, Final

import click

from darktimer.cli.options import cues_option, json_option
from darktimer.cues.cue_set import CueSet
from darktimer.cues.reader import load_cue_set
from darktimer.errors import OutputError
from darktimer.process import meanings
from darktimer.terminal.table import Table
from darktimer.terminal.text import console, print_json, print_list

if TYPE_CHECKING:  # load numpy and the sound library, which help can do without
    from darktimer.cues.tone import Samples
    from darktimer.ear.audible import Audible
    from darktimer.output.devices import Device
    from darktimer.output.microphone import Recorder
    from darktimer.output.player import Player

_RATE: Final = 48_000  # that of the sounds to learn
#: One cue for each act, in the order of work; the bath that is hardest to go back from.
_PLAYED: Final = (
    meanings.enter("develop"),
    meanings.MOVE,
    meanings.STAND,
    meanings.LIFT,
    meanings.LIGHT_SAFE,
    meanings.ALARM,
)
_START_DB: Final = -30
_STEP_DB: Final = 6
_NOISE_S: Final = 3.0
_CAUTION: Final = (
    "Sound can harm hearing: 85 dBA for 8 hours a day is the most that is recommended, half the "
    "time for each 3 dB more (NIOSH). Start with the volume low."
)


class _Level(click.ParamType[int]):
    """How loud at most, in whole dB against a run: 0 or less."""

    name = "level"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> int:
        text = str(value).removesuffix("dB").strip()
        try:
            level = int(text)
        except ValueError:
            self.fail(f"{value!r} is no level; write one such as -12 dB", param, ctx)
        if not _START_DB <= level <= 0:
            self.fail(f"{value!r} is out of range; write {_START_DB} to 0 dB", param, ctx)
        return level


@click.command("soundcheck")
@cues_option
@click.option("--device", metavar="NAME", help="The speaker, by its name or a part of it.")
@click.option("--microphone", metavar="NAME", help="The microphone, by its name or a part of it.")
@click.option("--ask", is_flag=True, help="Use no microphone: play each cue and ask.")
@click.option(
    "--level",
    "most_db",
    type=_Level(),
    default=0,
    help="Never play louder than this against a run, such as -12 dB; 0 dB is as loud as a run.",
)
@json_option
def command(
    cue_set: str,
    device: str | None,
    microphone: str | None,
    ask: bool,
    most_db: int,
    as_json: bool,
) -> None:
    """Play the cues that ask for an act, and say which of them the noise of the room covers.

    Put the microphone where your head will be, and let the water run as it will. The sound starts
    low and rises until a cue is clear, never above --level. Without a microphone you are asked
    what you hear. Exit status 1 where a cue is not clear.

    \b
    Example:
      darktimer soundcheck
      darktimer soundcheck --ask --level "-6 dB"
    """
    from darktimer.output import microphone as ears
    from darktimer.output.player import Player

    cues = load_cue_set(cue_set)
    ear = None if ask else ears.microphone(microphone)
    if ear is None and as_json:
        raise click.UsageError("--json needs a microphone, and there is none")
    _say(_CAUTION, as_json)
    with Player(_RATE, device) as player:
        clear = (
            _ask(cues, player, most_db)
            if ear is None
            else _measure(cues, player, ear, most_db, as_json)
        )
    if not clear:
        raise click.exceptions.Exit(1)


def _say(text: str, aside: bool = False) -> None:
    """One paragraph as wide as the terminal; on the error stream where a script reads the other."""
    click.echo(fill(text, console().width), err=aside)


def _levels(most_db: int) -> Iterator[int]:
    """From low to the most that is allowed."""
    yield from range(_START_DB, most_db, _STEP_DB)
    yield most_db


def _loud(level_db: int) -> str:
    return f"{-level_db} dB softer than a run" if level_db else "as loud as a run"


def _samples(cues: CueSet, meaning: str, level_db: int) -> "Samples":
    """One cue, from its first frame on, softer than in a run by ``level_db``."""
    from darktimer.cues.tone import quantised
    from darktimer.learn.sounds import Sounds

    cue = Sounds(cues, seed=0).alone(meaning)
    return quantised(cue.astype("float64") * float(10 ** (level_db / 20)))


def _measure(cues: CueSet, player: "Player", ear: "Device", most_db: int, as_json: bool) -> bool:
    """Plays and listens; returns whether every cue is clear."""
    from darktimer.ear.audible import advice
    from darktimer.output.microphone import Recorder

    _say(f"Listening to the room with {ear.name}, then playing.", as_json)
    with Recorder(_RATE, ear) as recorder:
        level_db, heard = _rising(_Room(cues, player, recorder, as_json), most_db)
    told = advice(heard, cues.name, -level_db)
    if as_json:
        rows = [{**each._asdict(), "verdict": each.verdict} for each in heard]
        print_json({"set": cues.name, "level_db": level_db, "cues": rows, "advice": told})
    else:
        _print(heard, level_db, told)
    return all(each.verdict == "clear" for each in heard)


def _rising(room: "_Room", most_db: int) -> "tuple[int, list[Audible]]":
    """Plays louder and louder until every cue is clear or the level is reached: that, and all."""
    heard: dict[str, Audible] = {}
    for level_db in _levels(most_db):
        first = room.judge(meanings.MOVE, level_db)
        if first.verdict != "clear" and level_db < most_db:
            continue
        heard[meanings.MOVE] = first
        for meaning in _PLAYED:
            if meaning not in heard or heard[meaning].verdict != "clear":
                heard[meaning] = room.judge(meaning, level_db)
        if all(each.verdict == "clear" for each in heard.values()):
            break
    return level_db, [heard[meaning] for meaning in _PLAYED]


class _Room:
    """A speaker and a microphone in a room, whose noise is heard first."""

    def __init__(self, cues: CueSet, player: "Player", recorder: "Recorder", aside: bool) -> None:
        self._aside = aside
        self._cues = cues
        self._player = player
        self._recorder = recorder
        self._noise = self._rest(_NOISE_S)

    def judge(self, meaning: str, level_db: int) -> "Audible":
        """Plays one cue, by name, and says how far above the noise it is."""
        from darktimer.ear.audible import audible

        _say(f"  {meaning}, {_loud(level_db)}", self._aside)
        samples = _samples(self._cues, meaning, level_db)
        start = len(self._recorder.heard())
        self._player.begin(samples)
        self._player.wait()
        heard = self._recorder.heard()[start:]
        pulses = self._cues.pulses(meaning)
        return audible(meaning, pulses, self._cues.voice, samples, heard, self._noise, _RATE)

    def _rest(self, seconds: float) -> "Samples":
        """What the room sounds like; the first half second of a recording may be nothing at all."""
        import time

        time.sleep(seconds)
        heard = self._recorder.heard()[_RATE // 2 :]
        if not len(heard):
            mend = "choose another with --microphone, or use --ask"
            raise OutputError("microphone", "it gives no sound", mend)
        return heard


def _print(heard: "list[Audible]", level_db: int, told: list[str]) -> None:
    out = console()
    out.print(f"\nPlayed {_loud(level_db)}:\n")
    columns = [
        ("Cue", "left"),
        ("Over the noise", "right"),
        ("Best at", "right"),
        ("Verdict", "left"),
    ]
    out.print(Table(columns, [_cells(each) for each in heard]))
    print_list("What to do", told)


def _cells(each: "Audible") -> list[str]:
    if each.margin_db is None:
        return [each.meaning, "not found", "", each.verdict]
    return [each.meaning, f"{each.margin_db:.0f} dB", f"{each.best_hz:.0f} Hz", each.verdict]


def _ask(cues: CueSet, player: "Player", most_db: int) -> bool:
    """Plays each cue by name and asks, louder each time it was not heard."""
    _say("No microphone is used: for each cue say whether you heard every pulse of it.")
    levels = list(_levels(most_db))
    missed = []
    for meaning in _PLAYED:
        while True:
            click.echo(f"{meaning}: {cues.says(meaning)}")
            player.begin(_samples(cues, meaning, levels[0]))
            if _yes():
                break
            if len(levels) == 1:
                missed.append(meaning)
                break
            levels.pop(0)
            click.echo(f"  louder: {_loud(levels[0])}")
    if not missed:
        click.echo("You heard them all. Leave everything as it is.")
        return True
    _say(f"Not heard: {', '.join(missed)}.")
    _say(
        "Turn the volume up, move the speaker nearer, or try another set: small-speaker for a "
        "telephone, without-highs for ears that have lost the high tones."
    )
    return False


def _yes() -> bool:
    return click.confirm("  Did you hear every pulse?", default=None)
