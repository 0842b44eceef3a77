"""Five hundred endings of a run, of every kind, where the film's true time is known.

A run is killed, fails anywhere in its own code, loses its terminal, is told to end or ended by the
person; it is taken up again, once or twice, on a machine that may have been off and whose wall
clock may have been moved by two hours. Whatever happened: no light without its reason, light-safe
never before the true one, every act told that fell into a process's life.
"""

import json
import math
import random
import sys
from collections import Counter
from collections.abc import Callable
from contextlib import suppress
from functools import partial
from types import FrameType, SimpleNamespace
from typing import Any

import pytest

from darktimer.journal.clocks import Reading
from darktimer.journal.events import Event
from darktimer.live import resume, session
from darktimer.live.conductor import Conductor
from darktimer.live.cue_queue import acts
from darktimer.live.gates import Waits
from darktimer.live.gestures import Key
from darktimer.live.keyboard import Keyboard
from darktimer.live.lights import Reason
from darktimer.live.session import Session
from darktimer.process import meanings
from darktimer.process.timeline import Timeline
from tests.live.plans import OTHER, REVERSED, SPACE, cue_set, timeline
from tests.live.studio import Air, CueLine, Notes, Screen

PLAN = """
title: Short, invented and untested on film
vessel: {kind: tub, light: open, volume: 1.5 l}
habits: {lights out after: 2 s, loading: 5 s, transfer: 3 s, drain: none, opening: none,
   baths told by: signature,
   warnings: none, countdown: 0, tally: none, heartbeat: none}
steps:
  - load: by hand
  - develop: 70 s
    agitation: 1/2
  - fix: 30 s
    light after: 20 s
  - wash: 10 s
"""
#: One that light ends, and one with light in its middle.
PLANS = (PLAN, REVERSED)
TICK_S = 0.2
BUSY_MS = 300_000
HOURS_MS = 2 * 3_600_000
#: A process that was begun anew may take so long to its first sound, and what it then tells first.
FIRST_MS = 12_000


class Killed(BaseException):
    """The end of a process, which no code of it can take notice of."""


class NeverLit(BaseException):
    """Hours after everything somebody still stands in the dark."""


class World:
    """A machine that can be off, its clocks, and true time: milliseconds since the run began."""

    def __init__(self) -> None:
        self.true_ms = 0.0
        self._started_ms, self._boot_id = -5_000_000.0, "1"
        self.wall_from_ms = 1_900_000_000_000
        self.said: list[float] = []  # light-safe, to its end, at these true moments

    def boot_ns(self) -> int:
        return int((self.true_ms - self._started_ms) * 1_000_000)

    def wall_ns(self) -> int:
        return int((self.true_ms + self.wall_from_ms) * 1_000_000)

    def reading(self) -> Reading:
        return Reading(self.wall_ns() // 10**6, self.boot_ns() // 10**6, self._boot_id)

    def start_anew(self) -> None:
        self._started_ms, self._boot_id = self.true_ms - 20_000, self._boot_id + "1"


class Clock:
    """The world's clocks for one process, from its session's first moment on."""

    def __init__(self, world: World, begin_ns: int) -> None:
        self._world = world
        self._begin_ns = begin_ns

    def boot_ns(self) -> int:
        return self._world.boot_ns() - self._begin_ns

    def wall_ns(self) -> int:
        return self._world.wall_ns()

    def advance(self, ms: float) -> None:
        self._world.true_ms += ms

    def true_ms(self, session_ms: float) -> float:
        return self._world.true_ms + session_ms - self.boot_ns() / 1_000_000


class Keys:
    """A keyboard that lets time pass, is pressed now and then, and at which things happen."""

    def __init__(self, world: World, chance: random.Random) -> None:
        self.gone = False
        self.knocks = None
        self.signalled: list[Key] = []
        self.coming: list[tuple[float, Callable[[], list[Key]]]] = []
        self._world = world
        self._chance = chance

    def at(self, true_ms: float, happens: Callable[[], object]) -> None:
        """Something happens, which may be that keys are pressed."""
        self.coming.append((true_ms, happens))

    silent = Keyboard.silent

    def read(self, wait_s: float) -> list[Key]:
        # Once the plan is long over, the doubt of a clock may take hours: no need to watch them.
        self._world.true_ms += wait_s * 1000 * (1 if self._world.true_ms < BUSY_MS else 50)
        if self._world.true_ms > BUSY_MS + 3 * HOURS_MS:
            raise NeverLit
        due = [happens for at, happens in self.coming if at <= self._world.true_ms]
        self.coming = [each for each in self.coming if each[0] > self._world.true_ms]
        pressed = [happens() for happens in due]
        keys = [key for each in pressed if isinstance(each, list) for key in each]
        signals, self.signalled = self.signalled, []
        return signals if self.gone else [*keys, *signals]


class Process:
    """One life of the program: what it is begun with, what it told, and when it was lit."""

    def __init__(self, world: World, chance: random.Random, written: list[Event], line: Timeline):
        self.world, self.chance, self.line = world, chance, line
        self.notes, self.screen = Notes(), Lit(world)
        self.notes.events = written
        self.keys = Keys(world, chance)
        self.silences: list[tuple[float, float]] = []

    def begin(self, begin_ns: int) -> Session:
        self.clock = Clock(self.world, begin_ns)
        conductor = Conductor(self.line, cue_set(), Waits.NOWHERE)
        cues = CueLine()
        self.air = Air(cues, self.clock)
        parts = (self.keys, self.screen, self.notes, self.clock)
        self.session = Session(conductor, cues, self.air, *parts)
        return self.session

    def take_up(self, begin_ns: int, found: resume.CutOff) -> None:
        """A later life has a speaker after a moment."""
        self.begin(begin_ns)
        self.air.begin_silent()
        first_ms = self.world.true_ms + self.chance.uniform(50, 2_000)
        self.silences.append((-math.inf, first_ms))
        self.keys.at(first_ms, self.air.return_)
        self.session.take_up(found)

    def live(self) -> None:
        """To its end, whatever that is."""
        self.screen.out()
        with suppress(Killed):
            self.session.run()
        sys.setprofile(None)
        self.silences.append((self.world.true_ms - 1_000, math.inf))
        self._judge()

    def _judge(self) -> None:
        """What must be true of each life, however it ended."""
        state, heard = self.session.conductor.state, self.air.whole()
        safe_ms = _moment(self.line, meanings.LIGHT_SAFE)
        said = [self.clock.true_ms(at) for at, what in heard if what == meanings.LIGHT_SAFE]
        assert all(at_ms >= safe_ms - 1 for at_ms in said), "light-safe came too early"
        self.world.said += said
        reason, lit_ms = self.screen.reason, self.screen.lit_ms
        if reason is Reason.SAFE:
            assert any(at_ms < lit_ms for at_ms in self.world.said), "light before light-safe"
        elif reason is Reason.ASKED_FOR:
            assert state.aborted_ms is not None
        elif reason is Reason.NOTHING_DARK:
            assert lit_ms < _moment(self.line, meanings.LIGHTS_OUT) or state.aborted_ms is not None
        if state.aborted_ms is None:
            self._told(heard)

    def _told(self, heard: Counter[tuple[int, str]]) -> None:
        """Each act that fell into no silence, nor into the time in which one is made up for."""
        state = self.session.conductor.state
        again = {(due_ms, meaning): at_ms for (at_ms, meaning), due_ms in state.moved.items()}
        for act in filter(acts, self.line.cues):
            real_ms = state.time_map.at_ms(act.at_ms)
            told = act._replace(at_ms=again.get((act.at_ms, act.meaning), real_ms))
            begin_ms, end_ms = self.clock.true_ms(told.at_ms), self.clock.true_ms(told.end_ms)
            if all(end_ms < begun or begin_ms > over + FIRST_MS for begun, over in self.silences):
                times = heard[told.at_ms, act.meaning]
                assert times == 1, f"{told} told {times} times"


class Lit(Screen):
    """A screen that knows when it was lit."""

    def __init__(self, world: World) -> None:
        super().__init__(dark=False)
        self._world = world
        self.lit_ms = -math.inf

    def on(self, reason: Reason) -> None:
        super().on(reason)
        self.lit_ms = self._world.true_ms


class Book:
    """The journal of one run, as far as taking it up asks."""

    def __init__(self, line: Timeline, written: list[Event], started: Reading) -> None:
        self._line, self._written = line, written
        self._run = SimpleNamespace(number=1, started=started, cue_set="standard", title="")

    def unfinished_run(self) -> Any:
        return self._run

    def events(self, _: int) -> list[Event]:
        kept = json.loads(json.dumps([dict(each.detail) for each in self._written]))
        return [each._replace(detail=d) for each, d in zip(self._written, kept, strict=True)]

    def timeline(self, _: int) -> Timeline:
        return self._line


def _moment(line: Timeline, meaning: str) -> int:
    return next(cue.at_ms for cue in line.cues if cue.meaning == meaning)


# Endings: what happens to a process at some moment.


def _kill(process: Process) -> None:
    raise Killed


def _fail(process: Process) -> None:
    """An exception at some call of the program's own, a little later."""
    left = process.chance.randrange(1, 400)

    def fail(frame: FrameType, event: str, _: object) -> None:
        nonlocal left
        left -= event == "call" and "/darktimer/" in frame.f_code.co_filename
        if left < 0:
            left = 10**9
            raise RuntimeError(f"in {frame.f_code.co_qualname} at {process.world.true_ms}")

    sys.setprofile(fail)


def _close_terminal(process: Process) -> None:
    process.keys.gone = True


def _signal(process: Process) -> None:
    names = process.chance.choices(["SIGTERM", "SIGINT"], k=process.chance.randrange(1, 8))
    process.keys.signalled.extend(Key(name, False) for name in names)


def _abort(process: Process) -> list[Key]:
    """Asks, and three seconds later means it; or does not, in one of three."""
    now_ms = process.world.true_ms
    for number in range(1, process.chance.randrange(1, 4)):
        process.keys.at(now_ms + 4_000 * number, lambda: [OTHER] * 5)
    return [OTHER] * 5


def _press(process: Process) -> list[Key]:
    """Somebody who wants light, every few seconds; an abort in the dark must be meant for that."""
    process.keys.at(process.world.true_ms + 7_000, partial(_press, process))
    if process.session.conductor.state.aborted_ms:
        return [OTHER] * 5
    return [process.chance.choice([OTHER, SPACE, Key("y", False)])]


def _lose_sound(process: Process) -> None:
    now_ms, away_ms = process.world.true_ms, process.chance.uniform(50, 20_000)
    process.silences.append((now_ms, now_ms + away_ms))
    process.air.lose()
    process.keys.at(now_ms + away_ms, process.air.return_)


def _stand_still(process: Process) -> None:
    now_ms = process.world.true_ms
    process.air.stand_still(process.chance.randrange(50, 5_000))
    process.silences.append((now_ms, process.world.true_ms))


ENDINGS = (_kill, _fail, _close_terminal, _signal, _abort, _lose_sound, _stand_still)


def _one(seed: int) -> Process:
    """A run through up to three lives; the last goes on until somebody could light it."""
    chance = random.Random(seed)
    world, line, written = World(), timeline(PLANS[seed % len(PLANS)]), []
    started = world.reading()
    resume.read_clocks = world.reading
    process = Process(world, chance, written, line)
    process.begin(world.boot_ns()).begin()
    for life in range(3):
        last = life == 2
        for _ in range(chance.randrange(4)):
            happens = chance.choice([e for e in ENDINGS if not (last and e is _kill)])
            process.keys.at(
                world.true_ms + chance.uniform(0, line.duration_ms), partial(happens, process)
            )
        if not last:
            process.keys.at(world.true_ms + chance.uniform(0, 60_000), partial(_kill, process))
        _press(process)
        process.live()
        if process.screen.reason or last or process.session.over():
            break
        world.true_ms += chance.choice([chance.uniform(50, 2_000), chance.uniform(0, 60_000)])
        if chance.random() < 0.5:
            world.start_anew()
        if chance.random() < 0.5:
            world.wall_from_ms += chance.randrange(-HOURS_MS, HOURS_MS)
        del written[len(written) - chance.randrange(3) :]
        book = Book(line, written, started)
        found = resume.cut_off(book, book.unfinished_run())
        process = Process(world, chance, written, line)
        begin_ns = resume.begin_ns(found.origin, world)
        process.take_up(begin_ns, found)
        if not found.dark:
            break
    return process


@pytest.mark.parametrize("first", range(0, 500, 50))
def test_no_ending_gives_light_too_early_or_leaves_an_act_untold(first, monkeypatch):
    monkeypatch.setattr(session, "TICK_S", TICK_S)
    monkeypatch.setattr(session, "time", SimpleNamespace(sleep=lambda _: None))
    monkeypatch.setattr(resume, "read_clocks", None)
    for seed in range(first, first + 50):
        try:
            _one(seed)
        except (AssertionError, NeverLit) as wrong:
            raise AssertionError(f"seed {seed}: {wrong!r}") from wrong
