"""A sitting at which cues are learnt: each with its meaning, then drills that a key answers."""

from collections.abc import Collection
from typing import Final

import click

from darktimer.cues.cue_set import CueSet
from darktimer.cues.tone import Samples
from darktimer.errors import OutputError
from darktimer.learn.drill import RUNNING, Drill
from darktimer.learn.lesson import lesson, says
from darktimer.learn.scores import done, keep
from darktimer.learn.sounds import Sounds
from darktimer.output.player import Player
from darktimer.terminal.text import say

_KEYS: Final = "123456789abcdefghijklmnoprstuvwxyz"  # q ends
_AGAIN: Final = " "
_END: Final = "qQ\x03\x04\x1b"
_OVER: Final = {"quiet": "in the quiet", "tap": "over a running tap"}


class EnoughError(Exception):
    """The learner wants no more."""


class Sitting:
    """One lesson of a cue set, heard and answered until the learner is ready or has enough."""

    def __init__(self, cues: CueSet, name: str, sounds: Sounds, player: Player) -> None:
        self._cues, self._name = cues, name
        self._sounds, self._player = sounds, player
        self._words = lesson(cues, name)

    def hold(self, *, drill_only: bool) -> None:
        """Each cue with its meaning, then the drills; `EnoughError` where the learner ends it."""
        say(f"{self._cues.name}: {self._cues.rule}\n")
        say("Volume: start low. The space bar plays a sound again, q ends.\n")
        if not drill_only:
            self._play_each()
        for over in _OVER:
            drill = Drill(self._words, self._sounds.seed)
            self._drill(drill, over)
            self._keep(drill, over)
            self._tell(drill, over)
            if not drill.ready:
                return
        click.echo("You are ready.")

    def _play_each(self) -> None:
        click.echo("Each sound with its meaning; any other key plays the next:")
        for word, told in self._words.items():
            self._list(word)
            self._key(self._sounds.quiet(told[0]))
        click.echo("")

    def _list(self, word: str, before: str = "", after: str = "") -> None:
        click.echo(f"  {before}{word}: {says(self._cues, word)}{after}")

    def _drill(self, drill: Drill, over: str) -> None:
        """Asks until the drill has no more questions."""
        keys = dict(zip(_KEYS, drill.scores, strict=False))
        sound = self._sounds.over_tap if over == "tap" else self._sounds.quiet
        click.echo(f"Which one do you hear, {_OVER[over]}? Press its key:")
        for key, word in keys.items():
            self._list(word, before=f"{key}  ")
        while meaning := drill.question():
            answered = keys[self._key(sound(meaning), keys)]
            right = drill.answer(answered)
            running = drill.scores[right].running
            if answered == right:
                click.echo(f"  yes: {right} ({min(running, RUNNING)} of {RUNNING} in a row)")
            else:
                click.echo(f"  no, that was {right}, not {answered}; it comes again")

    def _key(self, samples: Samples, keys: Collection[str] = ()) -> str:
        """The key pressed while a sound plays or after it; any where none are named."""
        while True:
            self._player.begin(samples)
            key = _pressed()
            while keys and key not in keys and key != _AGAIN:
                click.echo(f"  press one of {' '.join(keys)}, the space bar to hear it again, or q")
                key = _pressed()
            if key != _AGAIN:
                return key

    def _keep(self, drill: Drill, over: str) -> None:
        """A score that cannot be kept is no reason to stop learning."""
        try:
            keep(done(drill, self._cues.name, self._name, over))
        except OutputError as error:
            click.echo(f"The score is not kept: {error}", err=True)

    def _tell(self, drill: Drill, over: str) -> None:
        if drill.ready:
            click.echo(f"Every one was right {RUNNING} times running, {_OVER[over]}.\n")
            return
        click.echo(f"\nNot sure yet, {_OVER[over]}. Rest, then practise:")
        for word in drill.to_practise():
            taken = drill.taken_for(word)
            self._list(word, after=f", taken for {', '.join(taken)}" if taken else "")


def _pressed() -> str:
    try:
        key = click.getchar()
    except (EOFError, KeyboardInterrupt):
        raise EnoughError from None
    except OSError:
        raise OutputError("keyboard", "there is none", "learn at a terminal") from None
    if not key or key in _END:
        raise EnoughError
    return key.lower()
