"""Gives each cue its place, so that none covers another.

The rule: what asks for an act keeps its exact moment. Everything else is placed after it in order
of importance, at its own moment if that is free, else at the nearest free moment within its slack,
later before earlier, else it is left out. Free means 500 ms clear of every cue placed before it.
Light-safe and end yield only later, and are never left out; light-safe waits for turns, which are
counted, and who shuffles, rotates, or moves fixed sheets on goes on at that pace while it sounds.
"""

from collections import deque
from collections.abc import Callable, Iterable, Iterator
from functools import cache
from itertools import islice, pairwise
from typing import Final, NamedTuple

from darktimer.errors import Finding, FindingsError
from darktimer.process import meanings
from darktimer.process.announce import CueRequest
from darktimer.process.timeline import Cue
from darktimer.units import LONGEST_MS, clock

#: The silence between two cues. Two sounds whose onsets are less than 300 ms apart are hard to tell
#: apart (McGookin & Brewster); this is more, so that it is heard as longer than any rest within a
#: cue: a rule of cue sets holds those to two thirds of it.
CLEAR_MS: Final = 500

_MOST: Final = 100_000


class _Slack(NamedTuple):
    """How far a family yields, and how clear of other cues it stays."""

    later_ms: int
    earlier_ms: int
    clear_ms: int = CLEAR_MS


#: What keeps its exact moment.
_FIXED: Final = frozenset({"enter", "move", "stand", "lift", "lights-out"})
#: What yields, the most important first, and how far.
_YIELDING: Final[dict[str, _Slack]] = {
    meanings.TURN: _Slack(400, 0),
    meanings.LIGHT_SAFE: _Slack(LONGEST_MS, 0),
    meanings.END: _Slack(LONGEST_MS, 0),
    meanings.SHEET: _Slack(1000, 0),
    meanings.ROUND: _Slack(1000, 0),
    meanings.REVERSE: _Slack(1000, 0),
    meanings.PIP: _Slack(0, 0),
    "ready": _Slack(2000, 2000),
    "piece": _Slack(2000, 2000),
    # Two pulses and then the minutes could be taken for one longer cue, so that the minutes keep
    # further off than the longest rest within any cue.
    "tally": _Slack(3000, 6000, clear_ms=1000),
    meanings.HEARTBEAT: _Slack(0, 0),
}


class Spaced(NamedTuple):
    """Cues in order of time, and the requests that were left out."""

    cues: list[Cue]
    left_out: list[CueRequest]


def space(requests: Iterable[CueRequest], length_ms: Callable[[str], int]) -> Spaced:
    """Every request in its place. ``length_ms`` gives the length of a meaning's sound; what has
    none, since a cue set leaves it unsaid, is passed over.

    Raises `FindingsError` where two acts are asked for closer than their sounds are long.
    """
    length_ms = cache(length_ms)
    by_family = _by_family(request for request in requests if length_ms(request.meaning))
    placed = [Cue(at, length_ms(what), what, step) for at, what, step, _ in by_family.pop("", ())]
    _refuse_covering(placed)
    left_out: list[CueRequest] = []
    for family, slack in _YIELDING.items():
        if family in by_family:
            taken = _place(by_family.pop(family), slack, placed, length_ms, left_out)
            placed = sorted(placed + taken)
    return Spaced(placed, left_out)


def _by_family(requests: Iterable[CueRequest]) -> dict[str, deque[CueRequest]]:
    """The requests of each family in order of time; what acts is one family, named ""."""
    listed = sorted(islice(requests, _MOST + 1))
    if len(listed) > _MOST:
        found = f"more than {_MOST:,} cues are more than anybody can hear"
        remedy = "write longer intervals for agitation, tally or heartbeat"
        raise FindingsError([Finding(("steps",), found, remedy)])
    by_family: dict[str, deque[CueRequest]] = {}
    for request in listed:
        family = "" if request.acts else _rank(request.meaning)
        by_family.setdefault(family, deque()).append(request)
    return by_family


@cache
def _rank(meaning: str) -> str:
    family = meanings.family(meaning)
    return "" if family in _FIXED else family


def _refuse_covering(cues: list[Cue]) -> None:
    for one, two in pairwise(cues):
        if one.end_ms > two.at_ms:
            found = (
                f"at {clock(one.at_ms)} the sound for {one.meaning} lasts {one.length_ms} ms, "
                f"but {two.meaning} follows after {two.at_ms - one.at_ms} ms"
            )
            remedy = "write a longer load, transfer, drain or cycle, or take shorter cues"
            raise FindingsError([Finding(("steps",), found, remedy)])


def _place(
    requests: deque[CueRequest],
    slack: _Slack,
    placed: list[Cue],
    length_ms: Callable[[str], int],
    left_out: list[CueRequest],
) -> list[Cue]:
    """Places the requests of one family among ``placed`` in one pass; both are in order of time."""
    taken: list[Cue] = []
    following = 0  # the first placed cue that ends after the search may begin
    free_from = 0  # the end of this family's own last cue and of the gap after it
    while requests:  # each request is let go as its cue is made: a day of both at once is much
        request = requests.popleft()
        length = length_ms(request.meaning)
        earliest = max(free_from, request.at_ms - slack.earlier_ms)
        while following < len(placed) and placed[following].end_ms + slack.clear_ms <= earliest:
            following += 1
        windows = _windows(earliest, length, placed, following, slack.clear_ms)
        at = _nearest_free(request.at_ms, slack, windows)
        if at is None:
            left_out.append(request)
            continue
        taken.append(Cue(at, length, request.meaning, request.step))
        free_from = at + length + CLEAR_MS
    return taken


def _windows(
    earliest: int, length: int, placed: list[Cue], following: int, clear_ms: int
) -> Iterator[tuple[int, int]]:
    """First and last moment at which a cue of this length could begin, for each gap in turn."""
    first = earliest
    for k in range(following, len(placed)):
        yield first, placed[k].at_ms - clear_ms - length
        first = max(first, placed[k].end_ms + clear_ms)
    yield first, first + 2 * LONGEST_MS


def _nearest_free(asked_ms: int, slack: _Slack, windows: Iterator[tuple[int, int]]) -> int | None:
    """The moment asked for, else the first later free one, else the last earlier one, or None."""
    before = None
    for first, last in windows:
        if first > asked_ms + slack.later_ms:
            break
        if last < first:
            continue
        at = min(max(asked_ms, first), last)
        if at >= asked_ms:
            return at
        before = at
    return before
