"""Turns the pages before the lights go out: each fits the screen and waits for its key.

Knows keys, the trial of the speaker and the size of the screen; what stands on the pages is in
``darktimer.pages.briefing``.
"""

import sys
import time
from collections import deque
from collections.abc import Callable, Iterator
from contextlib import redirect_stdout
from io import StringIO
from shutil import get_terminal_size
from typing import TYPE_CHECKING, Final

import click

from darktimer.live.gestures import LEARNT_FROM, Key
from darktimer.live.keyboard import Keyboard
from darktimer.live.trial import EXAMPLE, MARK, QUESTION, WHERE, Trial
from darktimer.pages.briefing import (
    print_keys,
    print_last,
    print_learning,
    print_learning_by_sound,
    print_plan,
)
from darktimer.pages.closing import ABORTED
from darktimer.prepare.prepared import Prepared
from darktimer.units import clock

if TYPE_CHECKING:
    from darktimer.live.knocks import Knocks

#: Below a page: an empty line, what to press, and the line that the cursor stands on.
_BELOW: Final = 3
#: Where nobody reads a page, knocks for "go on" are learnt that come within so long.
_SOON_S: Final = 15


class Pager:
    """The pages, turned by keys; where a start was set, nothing waits for one."""

    def __init__(self, keys: Keyboard, start_in_ms: int | None) -> None:
        self._keys = keys
        self._start_in_ms = start_in_ms

    def turn(self, prepared: Prepared, trial: Trial, warnings: list[str]) -> None:
        """All pages in turn; leaves the program where the person wants to."""
        self._show(lambda: print_plan(prepared, warnings))
        if self._start_in_ms is None:
            self._ask("to try speaker and keys")
            if self._keys.knocks:
                self._learn(self._keys.knocks, trial)
            self._try(trial)
        self._show(lambda: print_last(prepared))
        if self._start_in_ms is None:
            self._ask("to begin")
        else:
            if self._keys.knocks:
                print_learning_by_sound(_SOON_S)
            sooner = "" if self._keys.gone else "; space begins it now"
            click.echo(f"\nIt begins by itself in {clock(self._start_in_ms)}{sooner}.")
            self.wait(self._start_in_ms, trial)

    def wait(self, ms: int, trial: Trial) -> None:
        """So long, or until a key for "go on"; knocks are learnt meanwhile, and answered."""
        end, asked_s = time.monotonic() + ms / 1000, deque[float](maxlen=LEARNT_FROM)
        while (now_s := time.monotonic()) < end:
            for key in self._pressed():
                if key.goes_on and not key.knocked:
                    return
                if key.goes_on:
                    asked_s.append(now_s)
                trial.answer(self._learnt(asked_s) if key.goes_on else WHERE)

    def _learnt(self, asked_s: deque[float]) -> tuple[str, ...]:
        """The answer to a knock; three of them soon after one another are the person's own."""
        knocks = self._keys.knocks
        soon = len(asked_s) == LEARNT_FROM and asked_s[-1] - asked_s[0] < _SOON_S
        if knocks is None or knocks.knock or not soon:
            return MARK
        knocks.learn()
        return QUESTION

    def _show(self, prints: Callable[[], None]) -> None:
        """Page by page where a key turns them, so that nothing scrolls away unread."""
        if self._start_in_ms is not None or not sys.stdout.isatty():
            prints()
            return
        with redirect_stdout(StringIO()) as held:
            prints()
        *before, last = pages(held.getvalue(), *get_terminal_size())
        for page in before:
            click.echo(f"\n{page}")
            self._ask("to go on")
        click.echo(f"\n{last}")

    def _ask(self, what: str) -> None:
        click.echo(f"\nSpace {what}, Ctrl-C to leave.")
        while not any(key.goes_on for key in self._pressed()):
            pass

    def _try(self, trial: Trial) -> None:
        """Each key is answered by its sound until the question was heard and answered."""
        print_keys()
        self._until_goes_on(trial)
        trial.answer(QUESTION)
        trial.wait()
        self._pressed()  # before the question was heard to its end, as a bouncing key, is no answer
        click.echo("  That was the question. Press space again to answer it.")
        self._until_goes_on(trial)
        trial.answer(MARK)
        trial.wait()

    def _learn(self, knocks: "Knocks", trial: Trial) -> None:
        """The person's own knock, from the first patterns that are heard; a key leaves that out."""
        print_learning()
        trial.answer(EXAMPLE)
        trial.wait()
        over_s, heard = time.monotonic(), 0
        while heard < LEARNT_FROM:
            for key in self._pressed():
                if key.goes_on and not key.knocked:
                    return
                if time.monotonic() - key.ago_ms / 1000 < over_s:
                    continue  # the example, as the microphone hears it, is nobody's knock
                heard += key.goes_on
                click.echo(f"  go on, {heard} of {LEARNT_FROM}" if key.goes_on else "  where am I")
        knocks.learn()
        click.echo("  Your knock is learnt." + knocks.clips * " The microphone is set too high.")

    def _until_goes_on(self, trial: Trial) -> None:
        while True:
            for key in self._pressed():
                click.echo(f"  {key.name}: {'go on' if key.goes_on else 'where am I'}")
                if key.goes_on:
                    return
                trial.answer(WHERE)

    def _pressed(self) -> list[Key]:
        pressed = self._keys.read(0.05)
        if any(key.ends for key in pressed):
            click.echo("Nothing was started.")
            sys.exit(ABORTED)
        return pressed


def pages(text: str, columns: int, rows: int) -> Iterator[str]:
    """``text`` on pages for a screen of this size, with room below each for what to press.

    A page ends before a section where that leaves it half full, else before a section or an item
    of a list, else where it is full.
    """
    lines = text.strip("\n").split("\n")
    while lines:
        fits = _fitting(lines, columns, max(1, rows - _BELOW))
        end = _break(lines, fits)
        yield "\n".join(lines[:end]).rstrip("\n")
        lines = lines[end + (lines[end : end + 1] == [""]) :]


def _fitting(lines: list[str], columns: int, rows: int) -> int:
    """How many of the first lines fit; a long path is broken by the terminal. One at least."""
    for number, line in enumerate(lines):
        rows -= -(-len(line) // columns) or 1
        if rows < 0:
            return max(1, number)
    return len(lines)


def _break(lines: list[str], fits: int) -> int:
    """The line that the next page begins with, or the blank one before it."""
    if fits == len(lines):
        return fits
    sections = [at for at in range(1, fits + 1) if not lines[at]]
    items = [at for at in range(1, fits + 1) if _begins_item(lines[at - 1], lines[at])]
    if sections and sections[-1] > fits // 2:
        return sections[-1]
    return max([*sections, *items], default=fits)


def _begins_item(before: str, line: str) -> bool:
    """Whether an item begins here that a page may begin with, since no heading stands over it."""
    return line.startswith("  - ") and not before.endswith(":")
