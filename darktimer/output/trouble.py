"""What can go wrong with a speaker, as records that pass from thread to thread."""

from typing import Literal, NamedTuple

#: ``lost``: the device takes no sound; ``back``: it does again, at the place where real time is;
#: ``stalled``: the process did not run; ``slept``: the machine did not; ``corrected``: frames were
#: put in or left out because the device's clock is off; ``callback-error``: a block was silent by a
#: fault of ours; ``no-device``: nothing of that name, or nothing at all, can be opened.
Kind = Literal["lost", "back", "stalled", "slept", "corrected", "callback-error", "no-device"]


class Trouble(NamedTuple):
    """One event: when it was noticed in session time, what is known, how much time it took.

    Of a silence that has ended (``back``, ``stalled``) ``at_ms`` is the first moment that is heard
    again and ``gap_ms`` what was not heard before it. Else ``gap_ms`` is the length of a sleep, of
    a silence so far, or what a correction moved the sound by (positive: left out); or nothing.
    """

    kind: Kind
    at_ms: int
    detail: str = ""
    gap_ms: int = 0
