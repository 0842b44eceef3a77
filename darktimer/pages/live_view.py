"""What a screen shows while a run goes on: where it is, what the hands do, what comes next.

Nothing is told by colour. ``ScreenView`` redraws itself in place, ``LineView`` only ever adds a
line, for screen readers and for outputs that are no terminal.
"""

from collections.abc import Callable, Iterator
from itertools import chain, islice
from typing import Any, Final

from rich.live import Live
from rich.text import Text

from darktimer.cues.cue_set import CueSet
from darktimer.live.conductor import Conductor
from darktimer.live.cue_queue import acts
from darktimer.live.plan_index import Position
from darktimer.live.session import Session
from darktimer.process import meanings
from darktimer.process.timeline import Cue
from darktimer.terminal.large import large
from darktimer.terminal.text import console, say
from darktimer.units import clock, next_second, seconds_clock

KEYS: Final = (
    "Space, Enter, Page Down, Right: go on. Any other key: where am I; "
    "twice in 0.7 s: hold. One key held, or five times in 2 s: abort."
)
_HANDS: Final = {
    "agitate": "Keep it moving",
    "stand": "Leave it alone",
    "drain": "Lift it and let it drain",
    "transfer": "Into the bath",
    "piece": "One piece in or out, the others stand",
    "hand": "By hand, for as long as it takes",
    "ready": "Get ready",
    "done": "Nothing more to do",
}
#: What differs where the film is in no bath, by the kind of step.
_IN_NO_BATH: Final = {
    "expose": {
        "transfer": "Out of the bath, into the light",
        "stand": "Leave it in the light; turn it over half way",
        "film is in": "Press space when the film is in the light",
    },
    "wait": {"transfer": "Get ready to wait", "stand": "Wait in the dark"},
}
_WAITS: Final = {
    "loading": "When it is done, press space, hear the question, press space again",
    "film is in": "Press space when the film is in the bath",
    "hold": "Held: press space to go on",
}
#: A sound is shown at least so long after it has ended.
_SHOWN_MS: Final = 3_000
_COMING: Final = 3


class Scene:
    """One moment of a run in words, each at most a line."""

    def __init__(self, session: Session, cue_set: CueSet) -> None:
        conductor, heard_ms = session.conductor, session.now().at_ms
        self.heard_ms = max(0, heard_ms)
        self.place: Position = conductor.state.position(self.heard_ms)
        self._timeline = conductor.timeline
        self._cues = conductor.state.cues
        self._conductor = conductor
        self._says = cue_set.says

    @property
    def step(self) -> str:
        """The name of the step and its place among all."""
        steps = self._timeline.steps
        dark = "in the dark" if steps[self.place.step].dark else "in the light"
        return f"{steps[self.place.step].name} ({self.place.step + 1} of {len(steps)}, {dark})"

    @property
    def hands(self) -> str:
        """What the hands do now."""
        words = _HANDS | _WAITS | _IN_NO_BATH.get(self.place.kind, {})
        return words.get(self.place.waits) or words.get(self.place.span, self.place.span)

    @property
    def left(self) -> str:
        """Time left in the bath, to the second upward."""
        return clock(next_second(self.place.left_ms))

    @property
    def until(self) -> str:
        """What that time is left until."""
        piece = self.place.piece
        return f"until piece {piece}" if piece else "left"

    @property
    def sounding(self) -> Cue | None:
        """The cue that sounds, or the last one, for as long as it is news."""
        begun = [cue for cue in self._cues if cue.at_ms <= self.heard_ms]
        recent = [cue for cue in begun[-1:] if self.heard_ms < cue.end_ms + _SHOWN_MS]
        return recent[0] if recent else None

    def heard(self) -> str:
        """What the sound means that plays, or has just been played."""
        cue = self.sounding
        return f"{self._says(cue.meaning)} ({cue.meaning})" if cue else ""

    def coming(self) -> list[tuple[str, str]]:
        """The next acts: in how long, or "then" where a key must come first, and what."""
        shown = [
            (clock(next_second(cue.at_ms - self.heard_ms)), cue.meaning)
            for cue in self._cues
            if cue.at_ms > self.heard_ms and acts(cue)
        ]
        then = (("then", cue.meaning) for cue in _waited_for(self._conductor))
        return [(when, self._says(each)) for when, each in islice(chain(shown, then), _COMING)]

    def bar(self, width: int) -> str:
        """The whole plan as a row of characters, one letter a step, and where it is now."""
        total, steps = max(1, self._timeline.duration_ms), self._timeline.steps
        row = ["."] * width
        for step in steps:
            row[min(width - 1, step.start_ms * width // total)] = step.name[0].upper()
        done = min(width - 1, self.place.plan_ms * width // total)
        return "".join(row) + "\n" + " " * done + "^"

    def total(self) -> str:
        """Time on the plan against all of it."""
        return f"{seconds_clock(self.place.plan_ms)} of {seconds_clock(self._timeline.duration_ms)}"


def _waited_for(conductor: Conductor) -> Iterator[Cue]:
    """The acts that come after the place where the plan stands, or will stand."""
    stops_ms = conductor.state.time_map.stops_ms
    if stops_ms is None or conductor.state.aborted_ms is not None:
        return
    from_ms = conductor.state.time_map.plan_ms(stops_ms)
    yield from (cue for cue in conductor.timeline.cues if cue.at_ms >= from_ms and acts(cue))


class ScreenView:
    """Redraws the scene in place, a few times a second, until it is closed."""

    def __init__(self, cue_set: CueSet) -> None:
        self._cue_set = cue_set
        self._drawn = Text()
        out = console()
        self._width = min(out.width, 78)
        self._live = Live(console=out, auto_refresh=False, transient=True)
        self._live.start()
        self.close = self._live.stop

    def __call__(self, session: Session) -> None:
        """Draws the session's scene, where it differs from what is drawn."""
        text = self._text(Scene(session, self._cue_set))
        if text != self._drawn:
            self._drawn = text
            self._live.update(text, refresh=True)

    def _text(self, scene: Scene) -> Text:
        of_step = "" if scene.place.piece else " in this step"
        left = "\n".join([*large(scene.left), f"{scene.until}{of_step}"])
        coming = [f"{when:>6}  {what}" for when, what in scene.coming()]
        return Text("\n").join(
            [
                Text(f"{scene.step}\n\n{scene.hands}\n\n{left}\n", style="bold"),
                Text(f"Sound: {scene.heard()}\n"),
                Text("\n".join(["Next", *(coming or ["        nothing more"])])),
                Text(f"\n{scene.bar(self._width)}\n{scene.total()}\n\n{KEYS}"),
            ]
        )


class LineView:
    """Adds a line for each sound and each change of what is waited for."""

    def __init__(self, cue_set: CueSet, echo: Callable[[str], Any] = say) -> None:
        self._cue_set = cue_set
        self._echo = echo
        self._shown: Any = None
        self._waits = ""
        echo(KEYS)

    def __call__(self, session: Session) -> None:
        """Tells what is new."""
        scene = Scene(session, self._cue_set)
        cue = scene.sounding
        if cue and cue != self._shown and cue.meaning != meanings.PIP:
            step = session.conductor.timeline.steps[cue.step].name
            self._echo(
                f"{seconds_clock(cue.at_ms)} {step}, {scene.left} {scene.until}: {scene.heard()}"
            )
        if scene.place.waits != self._waits and scene.place.waits:
            self._echo(scene.hands)
        self._shown, self._waits = cue or self._shown, scene.place.waits

    def close(self) -> None:
        """What was said stays."""


def view(cue_set: CueSet, plain: bool) -> ScreenView | LineView:
    """What suits the output."""
    return LineView(cue_set) if plain or not console().is_terminal else ScreenView(cue_set)
