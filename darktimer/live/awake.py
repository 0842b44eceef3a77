"""Keeps the machine awake, and screen savers away, for as long as a run lasts.

A library does it, by whatever the system has. Where nothing can, it says so in a sentence.
"""

import warnings
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from typing import Final

_CANNOT: Final = (
    "nothing here can keep this machine awake: switch off its sleep and its screen saver yourself"
)


@contextmanager
def kept_awake() -> Iterator[str]:
    """Holds sleep and screen savers off; yields what a person must be told, empty if all is well.

    What was held off is let go at the end of the block, and by the system if the program dies.
    """
    with ExitStack() as held, warnings.catch_warnings():
        warnings.simplefilter("ignore")
        yield _hold(held)


def _hold(held: ExitStack) -> str:
    try:
        from wakepy import keep

        for mode in (keep.presenting, keep.running):
            if held.enter_context(mode(on_fail="pass")).active:
                return ""
    except Exception:  # whatever a system's message bus may throw: the film matters more
        return _CANNOT
    return _CANNOT
