"""Keeps the machine running for as long as a run lasts; its display may sleep, and should.

A library does it, by whatever the system has. Where nothing can, it says so in a sentence.
"""

import warnings
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager, suppress
from typing import Final

_CANNOT: Final = (
    "nothing here can keep this machine awake: switch off its sleep and its screen saver yourself"
)


@contextmanager
def kept_awake() -> Iterator[str]:
    """Holds sleep off; yields what a person must be told, empty if all is well.

    What was held off is let go at the end of the block, and by the system if the program dies.
    """
    held = ExitStack()
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        try:
            yield "" if _holds(held) else _CANNOT
        finally:
            with suppress(Exception):
                held.close()


def _holds(held: ExitStack) -> bool:
    try:
        from wakepy import keep

        return held.enter_context(keep.running(on_fail="pass")).active
    except Exception:  # whatever a system's message bus may throw: the film matters more
        return False
