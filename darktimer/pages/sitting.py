"""A sitting at which cues are learnt: each with its meaning, then a drill that a key answers."""

from shutil import get_terminal_size
from typing import Final

import click

from darktimer.cues.cue_set import CueSet
from darktimer.errors import OutputError
from darktimer.learn.again import Learnt, learnt, today
from darktimer.learn.drill import Drill
from darktimer.learn.lesson import Lesson, says
from darktimer.learn.scores import done, keep, kept
from darktimer.learn.sounds import Sounds
from darktimer.output.player import Player
from darktimer.pages.answers import answer
from darktimer.terminal.text import say

_KEYS: Final = "123456789abcdefghijklmnoprstuvwxyz"  # q ends
#: Beside the list of keys: what is asked, the last answers, and the line of the cursor.
_OTHER_LINES: Final = 6


class Sitting:
    """One lesson of a cue set, heard and answered until the learner is ready or has enough."""

    def __init__(self, cues: CueSet, lesson: Lesson, sounds: Sounds, player: Player) -> None:
        self._cues, self._lesson = cues, lesson
        self._sounds, self._player = sounds, player

    def hold(self, *, drill_only: bool) -> None:
        """Each cue with its meaning, then the drill; `EnoughError` where the learner ends it."""
        _tell_due()
        say(f"{self._cues.name}: {self._cues.rule}\n")
        say(
            "Volume: start low. The space bar plays a sound again, q ends. "
            f"There are {len(self._lesson.words)} sounds to learn: rest whenever you like.\n"
        )
        if not drill_only:
            self._play_each()
        drill = Drill(self._lesson.words, self._sounds.seed)
        self._drill(drill)
        self._keep(drill)
        self._tell(drill)

    def _play_each(self) -> None:
        click.echo("Each sound with its meaning; any other key plays the next:")
        for word, played in self._lesson.words.items():
            self._play(word, played[0])
        click.echo("")

    def _play(self, word: str, meaning: str) -> None:
        click.echo(f"  {self._meaning(word)}")
        answer(self._player, self._sounds.quiet(meaning))

    def _meaning(self, word: str) -> str:
        return f"{word}: {says(self._cues, word, self._lesson.words[word])}"

    def _drill(self, drill: Drill) -> None:
        """Asks until the drill has no more questions; the keys stay on the screen."""
        keys = dict(zip(_KEYS, drill.scores, strict=False))
        columns, rows = get_terminal_size()
        listed = _in_columns([f"{k}  {self._meaning(w)}" for k, w in keys.items()], columns, rows)
        lines = 0
        while played := drill.question():
            if lines <= 0:
                lines = rows - len(listed) - 2
                sure = f"{[*drill.needed.values()].count(0)} of {len(keys)} are sure"
                click.echo(f"Which one do you hear? Press its key, even before it ends ({sure}):")
                click.echo("\n".join(listed))
            answered = keys[answer(self._player, self._sounds.over_tap(played), keys)]
            right = drill.answer(answered)
            lines -= 1
            if answered == right:
                needed = drill.needed[right]
                click.echo(f"  yes: {right} ({f'{needed} more to be sure' if needed else 'sure'})")
            else:
                self._play_both((right, played), answered)
                lines = 0

    def _play_both(self, asked: tuple[str, str], answered: str) -> None:
        """In the quiet, so that what makes them two is heard."""
        click.echo(f"  no, that was {asked[0]}, not {answered}. Hear both; any key goes on:")
        self._play(*asked)
        self._play(answered, self._lesson.words[answered][0])

    def _keep(self, drill: Drill) -> None:
        """A score that cannot be kept is no reason to stop learning."""
        try:
            keep(done(drill, self._cues.name, self._lesson.name))
        except OutputError as error:
            click.echo(f"The score is not kept: {error}", err=True)

    def _tell_again(self) -> None:
        for one in _learnt():
            if (one.cue_set, one.lesson) == (self._cues.name, self._lesson.name):
                click.echo(
                    f"It is asked again on {one.due}."
                    if one.due
                    else "You knew it after a day and after a week: it is not asked again."
                )

    def _tell(self, drill: Drill) -> None:
        if drill.ready:
            say(f"\nYou are ready for {self._lesson.ready_for}.")
            self._tell_again()
            return
        click.echo("\nNot sure yet. Rest, then practise:")
        for word in drill.to_practise():
            taken = drill.taken_for(word)
            click.echo(
                f"  {self._meaning(word)}" + (f", taken for {', '.join(taken)}" if taken else "")
            )


def _tell_due() -> None:
    for one in _learnt():
        if one.due and one.due <= today():
            click.echo(f"Due since {one.due}: {one.lesson} with {one.cue_set}.")


def _learnt() -> list[Learnt]:
    """Nothing where the scores cannot be read: that is told where one is to be kept."""
    try:
        return learnt(kept())
    except OutputError:
        return []


def _in_columns(items: list[str], columns: int, rows: int) -> list[str]:
    """One below the other where they fit the screen, else in two columns, cut to their width."""
    if len(items) + _OTHER_LINES <= rows:
        return [f"  {item}" for item in items]
    width = columns // 2 - 3
    deep = -(-len(items) // 2)
    cut = [item if len(item) <= width else f"{item[: width - 1]}…" for item in items]
    cut += [""] * (2 * deep - len(cut))
    return [f"  {cut[k]:{width}} {cut[k + deep]}".rstrip() for k in range(deep)]
