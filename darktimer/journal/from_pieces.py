"""What the pieces of a run suggest for its plan: one time for all of the film.

Readings go before words; where neither can bear a time, it is said why, and nothing is changed.
"""

from collections.abc import Callable, Iterator
from functools import partial
from typing import Final

from darktimer.journal.piece_times import (
    ProposedTime,
    Wanted,
    by_readings,
    by_words,
    develop_of,
    pieces_of,
    read_of,
)
from darktimer.journal.review import Review
from darktimer.journal.revise import REMOVED, Changes
from darktimer.journal.suggestion import Suggestion, written
from darktimer.journal.worth import written_for
from darktimer.sensitometry.refusal import SensitometryError
from darktimer.units import clock, degrees, nearest_clock

#: What a time by readings rests on.
READINGS: Final = "fitted to the readings, two standard uncertainties to either side"
_WORDS: Final = "a straight line in the logarithm of time between the two nearest"
_REFUSED: Final = {READINGS: "what the readings allow", _WORDS: "what the words allow"}
_TO_MS: Final = 5_000


def from_pieces(found: Review, wanted: Wanted | None) -> Iterator[Suggestion]:
    """The time that the readings tell, or that the words do, and why the readings do not.

    Raises `SensitometryError` where the readings do not tell the time for what is ``wanted``: no
    words do.
    """
    pieces, read = pieces_of(found), read_of(found)
    if pieces and not wanted and len({each.time_ms for each in pieces}) == 1:
        return  # they differ in something else
    tries: list[tuple[str, str, Callable[[], ProposedTime]]] = []
    if read or wanted:
        tries.append(("readings", READINGS, partial(by_readings, read, wanted)))
    if any(each.judged for each in pieces) and not wanted:
        tries.append(("eye", _WORDS, partial(by_words, pieces)))
    if any(step.kind == "expose" for step in found.steps):
        tries = [(what, source, _of_a_positive) for what, source, _ in tries[:1]]
    for what, source, propose in tries:
        try:
            yield _suggested(found, propose(), source)
            return
        except SensitometryError as error:
            if wanted:
                raise
            why = f"no time by {what}: {error.found}"
            yield Suggestion(why, error.remedy, _REFUSED[source], {}, False)


def _of_a_positive() -> ProposedTime:
    found = "with a positive, a longer first develop gives less density"
    remedy = "choose the time that you like best, and write it into the plan"
    raise SensitometryError(found, remedy)


def _suggested(found: Review, proposed: ProposedTime, source: str) -> Suggestion:
    time = proposed.time
    low, middle, high = map(nearest_clock, (time.low_ms, time.time_ms, time.high_ms))
    develop = develop_of(found)
    if develop is None:
        raise SensitometryError("the plan has no develop", "write the time into a plan of your own")
    basis = found.bases[develop]
    time_ms = max(1, round(written_for(basis, time.time_ms) / _TO_MS)) * _TO_MS
    at = f" at {degrees(basis.for_celsius)}" if basis.celsius is not None else ""
    remedy = f"between {low} and {high}{at}, {middle} is the middle; develop for {clock(time_ms)}"
    changes = one_time(found, develop, time_ms)
    return Suggestion(proposed.by, "; ".join([remedy, *proposed.caveats]), source, changes, False)


def one_time(found: Review, develop: int, time_ms: int) -> Changes:
    """What gives all of the film one time in a develop of the plan, in which it may be cut."""
    changes: Changes = {("steps", develop, "develop"): written(time_ms)}
    return {**changes, ("steps", develop, "pieces"): REMOVED} if found.run.pieces else changes
