"""Keeps the machine, not its display, awake for as long as a run lasts, by a library."""

import warnings
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager, suppress
from typing import Final

CANNOT: Final = "nothing here keeps this machine awake: switch off sleep and screen saver"


@contextmanager
def kept_awake() -> Iterator[str]:
    """Holds sleep off until the end of the block; yields what a person must be told, or ""."""
    held, active = ExitStack(), False
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        with suppress(
            Exception
        ):  # whatever a system's message bus may throw: the film matters more
            from wakepy import keep

            active = held.enter_context(keep.running(on_fail="pass")).active
        try:
            yield "" if active else CANNOT
        finally:
            with suppress(Exception):
                held.close()
