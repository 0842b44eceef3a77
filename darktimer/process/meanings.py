"""The vocabulary: everything a cue can mean, and which cue yields to which.

Knows the words, not the sounds: how a meaning is played is the cue set's business. A meaning is
written as one string, such as ``enter-develop`` or ``tally-7``, because that is what timelines,
cue sets, journals and people all pass around.
"""

from typing import Final

from darktimer.plan.kinds import STEP_KINDS as STEP_KINDS
from darktimer.plan.kinds import kind_called as kind_called

# Act now: the hands must do something at this very moment. These are never moved or left out.
MOVE: Final = "move"  # begin moving film or bath
STAND: Final = "stand"  # stop moving, leave it alone
LIFT: Final = "lift"  # lift and drain, or begin to pour out
LIGHT_SAFE: Final = "light-safe"  # white light harms nothing from here on
ALARM: Final = "alarm"  # something is wrong

LIGHTS_OUT: Final = "lights-out"  # the dark begins with this sound
END: Final = "end"  # nothing more will be asked of the hands

PIP: Final = "pip"  # one second of a countdown to a step change
TURN: Final = "turn"  # one inversion
REVERSE: Final = "reverse"  # rotate the other way, or turn the film over
SHEET: Final = "sheet"  # take the next sheet
ROUND: Final = "round"  # take the first sheet of a new round
#: One more of what the hands are doing: each asks for an act, so that a plan that has no room for
#: one of them cannot be carried out.
TICKS: Final = frozenset({TURN, REVERSE, SHEET, ROUND})
HEARTBEAT: Final = "heartbeat"  # all is well, the film is standing

MARKED: Final = "marked"  # a key press was noted
CONFIRM: Final = "confirm"  # press again if that was meant
REFUSE: Final = "refuse"  # a key press that cannot be followed now
HOLD: Final = "hold"  # the plan is held; the film is not
BACK: Final = "back"  # the sound is back after a fault

#: Every meaning that is one word; a cue set must have a sound for each.
SINGLE: Final = (
    MOVE,
    STAND,
    LIFT,
    LIGHT_SAFE,
    ALARM,
    LIGHTS_OUT,
    END,
    PIP,
    TURN,
    REVERSE,
    SHEET,
    ROUND,
    HEARTBEAT,
    MARKED,
    CONFIRM,
    REFUSE,
    HOLD,
    BACK,
)


#: Places that are told by number; an ear counts no further.
MOST_PLACES: Final = 15


def enter(sign: str = "") -> str:
    """Go on to the next bath; ``sign`` may say which: its place from the left, or its kind."""
    return f"enter-{sign}" if sign else "enter"


def here(sign: str) -> str:
    """Only said to who asks: this is where you are; it must not sound as a call to change baths."""
    return f"here-{sign}"


def ready(changes_ahead: int) -> str:
    """A get-ready warning: 1 is the last before the change, 2 the one before it, at most 3."""
    return f"ready-{changes_ahead}"


def tally(minutes: int) -> str:
    """Minutes gone in this step, 1 to 99, told as groups of at most three."""
    return f"tally-{minutes}"


def piece(number: int) -> str:
    """Which piece of a cut film is the next to change baths, 1 to 8: asks for nothing yet."""
    return f"piece-{number}"


def left(seconds: int) -> str:
    """Time left in this step, in whole tens of seconds from 0 to 5990, told as a tally is."""
    return f"left-{seconds // 10 * 10}"


def family(meaning: str) -> str:
    """The word a meaning belongs to: ``enter-develop`` -> ``enter``, ``tally-7`` -> ``tally``."""
    head, dash, tail = meaning.rpartition("-")
    return head if dash and (head in ("enter", "here") or tail.isdigit()) else meaning


ACT_NOW: Final = frozenset({"enter", MOVE, STAND, LIFT, LIGHT_SAFE, ALARM})
#: Every family that asks the hands for something: without it something is not done.
ASKING: Final = ACT_NOW | TICKS | {LIGHTS_OUT}


def asks(meaning: str) -> bool:
    """Whether a cue asks for an act; all others only keep whoever waits company."""
    return family(meaning) in ASKING
