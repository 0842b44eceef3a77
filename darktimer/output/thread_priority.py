"""The sound's thread goes before others, where Linux lets a user's program ask for that.

On a busy machine it would else wait its turn for longer than the buffer lasts.
"""

import os
import sys
import threading
from contextlib import suppress
from typing import Final

#: The lowest of the real-time ranks is before all ordinary work; and what remains to be had else.
_RANK: Final = 1
_NICE: Final = -11


def raise_priority() -> None:
    """For the thread that calls; changes nothing where that is not allowed."""
    if sys.platform != "linux":
        return
    try:
        policy = os.SCHED_RR | os.SCHED_RESET_ON_FORK
        os.sched_setscheduler(0, policy, os.sched_param(_RANK))
    except OSError:
        with suppress(OSError):
            os.setpriority(os.PRIO_PROCESS, threading.get_native_id(), _NICE)
