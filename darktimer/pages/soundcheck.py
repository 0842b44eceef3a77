"""Whether each cue carries over the noise of a room: measured by a microphone, or asked.

Knows speaker, microphone and page; how loud to play is in ``darktimer.ear.levels``.
"""

import time
from collections.abc import Sequence
from typing import Final

import click

from darktimer.cues.cue_set import CueSet
from darktimer.cues.tone import Samples, quantised
from darktimer.ear.audible import Audible, advice, audible
from darktimer.ear.levels import levels, rising
from darktimer.errors import OutputError
from darktimer.learn.sounds import Sounds
from darktimer.output import microphone
from darktimer.output.devices import Device
from darktimer.output.player import Player
from darktimer.pages.answers import answer
from darktimer.terminal.table import print_table
from darktimer.terminal.text import print_json, print_list, say

RATE: Final = Sounds.rate
CAUTION: Final = (
    "Sound can harm hearing: 85 dBA for 8 hours a day is the most that is recommended, half the "
    "time for each 3 dB more (NIOSH). Start with the volume low."
)
_NOISE_S: Final = 3.0


def _loud(level_db: int) -> str:
    return f"{-level_db} dB softer than a run" if level_db else "as loud as a run"


def _samples(cues: CueSet, meaning: str, level_db: int) -> Samples:
    """One cue, from its first frame on, softer than in a run by ``level_db``."""
    cue = Sounds(cues, seed=0).alone(meaning)
    return quantised(cue.astype("float64") * float(10 ** (level_db / 20)))


def listen(
    cues: CueSet, those: Sequence[str], player: Player, ear: Device, most_db: int, as_json: bool
) -> bool:
    """Plays ``those``, the faintest first, and listens; returns whether each is clear."""
    say(f"Listening to the room with {ear.name}, then playing.", err=as_json)
    with microphone.Recorder(RATE, ear) as recorder:
        room = _Room(cues, player, recorder, as_json)
        level_db, heard = rising(room.judge, those, most_db)
    advice_lines = advice(heard, cues.name, -level_db)
    if as_json:
        rows = [{**each._asdict(), "verdict": each.verdict} for each in heard]
        print_json({"set": cues.name, "level_db": level_db, "cues": rows, "advice": advice_lines})
    else:
        _print(heard, level_db, advice_lines)
    return all(each.verdict == "clear" for each in heard)


class _Room:
    """A speaker and a microphone in a room, whose noise is heard first."""

    def __init__(
        self, cues: CueSet, player: Player, recorder: microphone.Recorder, aside: bool
    ) -> None:
        self._aside = aside
        self._cues = cues
        self._player = player
        self._recorder = recorder
        self._noise = self._rest(_NOISE_S)

    def judge(self, meaning: str, level_db: int) -> Audible:
        """Plays one cue, by name, and says how far above the noise it is."""
        say(f"{meaning}, {_loud(level_db)}", indent="  ", err=self._aside)
        samples = _samples(self._cues, meaning, level_db)
        start = len(self._recorder.heard())
        self._player.begin(samples)
        self._player.wait()
        heard = self._recorder.heard()[start:]
        pulses = self._cues.pulses(meaning)
        return audible(meaning, pulses, self._cues.voice, samples, heard, self._noise, RATE)

    def _rest(self, seconds: float) -> Samples:
        """What the room sounds like; the first half second of a recording may be nothing at all."""
        time.sleep(seconds)
        heard = self._recorder.heard()[RATE // 2 :]
        if not len(heard):
            remedy = "choose another with --microphone, or use --ask"
            raise OutputError("microphone", "it gives no sound", remedy)
        return heard


def _print(heard: list[Audible], level_db: int, advice_lines: list[str]) -> None:
    say(f"\nPlayed {_loud(level_db)}. Nothing else that you will hear is fainter:\n")
    columns = [("Cue", "left"), ("Over the noise", "right"), ("Best at", "right")]
    print_table([*columns, ("Verdict", "left")], [_cells(each) for each in heard])
    print_list("What to do", advice_lines)


def _cells(each: Audible) -> list[str]:
    if each.margin_db is None:
        return [each.meaning, "not found", "", each.verdict]
    return [each.meaning, f"{each.margin_db:.0f} dB", f"{each.best_hz:.0f} Hz", each.verdict]


def ask_by_ear(cues: CueSet, those: Sequence[str], player: Player, most_db: int) -> bool:
    """Plays each cue by name and asks, louder each time it was not heard."""
    say(
        "No microphone is used. For each cue press y if you heard every pulse of it, n if not; the "
        "space bar plays it again, q ends. Nothing else that you will hear is fainter."
    )
    louder = list(levels(most_db))
    missed = []
    for meaning in those:
        while True:
            click.echo(f"{meaning}: {cues.says(meaning)}")
            if answer(player, _samples(cues, meaning, louder[0]), "yn") == "y":
                click.echo("  heard")
                break
            if len(louder) == 1:
                missed.append(meaning)
                click.echo("  not heard")
                break
            louder.pop(0)
            click.echo(f"  louder: {_loud(louder[0])}")
    if not missed:
        click.echo("You heard them all. Leave everything as it is.")
        return True
    say(f"Not heard: {', '.join(missed)}.")
    say(
        "Turn the volume up, move the speaker nearer, or try another set: small-speaker for a "
        "telephone, without-highs for ears that have lost the high tones."
    )
    return False
