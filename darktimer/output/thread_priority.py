"""The sound's thread goes before others, where the system lets a user's program ask for that.

Elsewhere than on Linux sound systems see to it themselves. On a machine with more to do than it
can, the thread would else wait its turn for longer than the buffer lasts. Knows no sound.
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
