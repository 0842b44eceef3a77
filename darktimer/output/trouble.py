"""What can go wrong with a speaker, as records that pass from thread to thread."""

from typing import Literal, NamedTuple

#: ``lost``: the device takes no sound; ``back``: it does again, at the place where real time is;
#: ``stalled``: the process did not run; ``slept``: the machine did not; ``corrected``: frames were
#: put in or left out because the card's clock is off; ``callback-error``: a block was silent by a
#: fault of ours; ``no-device``: nothing of that name, or nothing at all, can be opened.
Kind = Literal["lost", "back", "stalled", "slept", "corrected", "callback-error", "no-device"]


class Trouble(NamedTuple):
    """One event: when it was noticed in session time, what is known, how much time it took.

    ``gap_ms`` is the length of the silence, stall or sleep, or the time a correction moved the
    sound by (positive: left out); 0 where it has not ended or means nothing.
    """

    kind: Kind
    at_ms: int
    detail: str = ""
    gap_ms: int = 0
