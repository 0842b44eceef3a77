"""What was said of a run that contradicts itself: words against readings, the whole against pieces.

Nothing is decided here: it is told which of the two is used, and that the other says otherwise.
"""

from collections.abc import Iterator
from typing import Final

from darktimer.journal.piece_times import DonePart, measured, parts_of, pieces_of
from darktimer.journal.results import Result, word
from darktimer.journal.review import Review
from darktimer.journal.strength import STEP
from darktimer.journal.suggestion import Suggestion
from darktimer.sensitometry.estimate import Estimate
from darktimer.sensitometry.wanted import PICTORIAL

_SOURCE: Final = "what was entered for this run"
#: Words that tell how far a film was developed, the one that depends on it alone first.
_SCALES: Final = ("contrast", "density")


def contradictions(found: Review, used: str) -> Iterator[Suggestion]:
    """Every contradiction; ``used`` is what the time is taken from, empty where there is none."""
    kept = f"the {used} are used" if used else "no time is taken from either"
    for each in parts_of(found):
        if against := _against_its_readings(each):
            remedy = f"{kept}; look again in one light with the others, or read the strip again"
            yield Suggestion(against, remedy, _SOURCE, {}, False)
    if found.run.pieces and (whole := _said(found.result)):
        others = [f"{each.part.name} {said}" for each in pieces_of(found)
                  if (said := _said(each.result))]  # fmt: skip
        against = f"{whole}, for all of the run, is not used, since its pieces differ"
        against += f" ({', '.join(others)})" if others else ""
        remedy = f"name the piece that is meant: darktimer journal add-result {found.run.number} "
        yield Suggestion(against, f"{remedy}--piece 1", _SOURCE, {}, False)


def _said(result: Result) -> str:
    """What a result says of how far the film was developed."""
    words = [word(scale, value) for scale in reversed(_SCALES)
             if (value := getattr(result, scale)) is not None]  # fmt: skip
    return " and ".join([*words, *(["readings"] if result.densities else [])])


def _against_its_readings(each: DonePart) -> str:
    """How the words of a part contradict what was read of it; empty where they do not.

    What is wanted in figures is no matter of words: those are held against what is usual.
    """
    said = next((s for s in _SCALES if getattr(each.result, s) is not None), None)
    measure, value, (low, high) = _read(each)
    if said is None or value is None:
        return ""
    figure = each.result.figure(said)
    room = 0 if figure else STEP  # what looks right may be a word off
    least, most = low * (1 - room), high * (1 + room)
    flat = figure >= 0 and value.value + 2 * value.uncertainty < least
    if not flat and (figure > 0 or value.value - 2 * value.uncertainty <= most):
        return ""
    return (
        f"{each.part.name or 'this run'} is {word(said, figure)} by eye and "
        f"{'flat' if flat else 'contrasty'} by its readings: {measure} {value}, "
        f"where {low:.2f} to {high:.2f} are usual"
    )


def _read(each: DonePart) -> tuple[str, Estimate | None, tuple[float, float]]:
    """What is measured of a part, and between which values it usually is."""
    for measure, between in PICTORIAL.items():
        if value := measured(each, measure)[0]:
            return measure, value, between
    return "", None, (0.0, 0.0)
