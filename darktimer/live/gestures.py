"""What a press of a key means, by the key and by the presses before it.

Two gestures: go on, and where am I. Where am I twice within 0.7 s asks for a hold; one key held,
or pressed five times within two seconds, asks to abort. What may be done is not decided here.
"""

from enum import StrEnum
from typing import Final, NamedTuple

#: Signals that ask a program to end.
ENDINGS: Final = ("SIGINT", "SIGTERM", "SIGQUIT", "SIGBREAK")
#: What a pattern of knocks is called where a key's name stands.
KNOCK: Final = "knock"
#: A person's own knock is learnt from so many patterns, the last ones.
LEARNT_FROM: Final = 3
#: Nearer together than this, a press is a key's own repeating or a glove on several keys.
BOUNCE_MS: Final = 80
TWICE_MS: Final = 700
ABORT_PRESSES: Final = 5
ABORT_MS: Final = 2_000
#: A press after this long a rest begins a gesture of its own.
REST_MS: Final = 700
#: A second press of "go on" this soon was not meant as another.
_AGAIN_MS: Final = 400


class Key(NamedTuple):
    """One key as it was pressed: what it is called, and whether it is one of those for go on.

    What takes time to press was begun ``ago_ms`` before it was read. One that is not ``sure`` may
    be what the program's own sounds make, where there were any.
    """

    name: str
    goes_on: bool
    ago_ms: int = 0
    sure: bool = True

    @property
    def knocked(self) -> bool:
        """Whether it is a pattern of knocks."""
        return self.name == KNOCK

    @property
    def ends(self) -> bool:
        """Whether it ends a program everywhere else: Ctrl-C, or a signal that is sent for that."""
        return self.name in ("03", *ENDINGS)


class Gesture(StrEnum):
    """What is asked for."""

    GO_ON = "go on"
    WHERE = "where am I"
    HOLD = "hold"
    ABORT = "abort"
    NOTHING = "nothing"


class Gestures:
    """Reads presses in order of time; ``began_ms`` is when the first after a rest was begun."""

    def __init__(self) -> None:
        self.began_ms = -1_000_000
        self._rest_ms = 0
        self._recent: list[tuple[int, Key]] = []
        self._last = (-1_000_000, Gesture.NOTHING)

    def read(self, key: Key, at_ms: int) -> Gesture:
        """What this press asks for."""
        self.began_ms = at_ms - key.ago_ms if self._rest_ms >= REST_MS else self.began_ms
        self._rest_ms = 0
        before = self._recent[-1][0] if self._recent else -1_000_000
        kept = [(at, each) for at, each in self._recent if at_ms - at <= ABORT_MS]
        self._recent = [*kept, (at_ms, key)]
        if sum(each == key for _, each in self._recent) >= ABORT_PRESSES:
            self._recent = [(at_ms, key)]
            return self._meant(at_ms, Gesture.ABORT)
        if at_ms - before < BOUNCE_MS:
            return Gesture.NOTHING
        return self._plain(key, at_ms)

    def rest(self, ms: int) -> None:
        """A keyboard that was asked for so long had no key: what goes by unasked is no rest."""
        self._rest_ms += ms

    def _plain(self, key: Key, at_ms: int) -> Gesture:
        last_ms, last = self._last
        since = at_ms - last_ms
        if key.goes_on:
            again = last is Gesture.GO_ON and since < _AGAIN_MS
            return Gesture.NOTHING if again else self._meant(at_ms, Gesture.GO_ON)
        if since > TWICE_MS or last is Gesture.GO_ON:
            return self._meant(at_ms, Gesture.WHERE)
        return self._meant(at_ms, Gesture.HOLD) if last is Gesture.WHERE else Gesture.NOTHING

    def _meant(self, at_ms: int, gesture: Gesture) -> Gesture:
        self._last = (at_ms, gesture)
        return gesture
