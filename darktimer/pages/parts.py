"""What came of the pieces or films of a run: in words, and as it was measured of densities."""

from collections.abc import Iterator, Sequence
from typing import Any

from darktimer.journal.from_pieces import from_pieces
from darktimer.journal.piece_times import DonePart, parts_of
from darktimer.journal.results import WHOLE
from darktimer.journal.review import Review
from darktimer.sensitometry.estimate import Estimate
from darktimer.sensitometry.measures import MEASURES, Measures, measures, stops_faster
from darktimer.sensitometry.refusal import by_reason
from darktimer.sensitometry.strip import Strip
from darktimer.terminal.table import print_table
from darktimer.terminal.text import print_list, say
from darktimer.units import exposure_index, speed_degrees


def print_parts(found: Review) -> None:
    """Each part with its words, then what was measured, then the time that they tell."""
    parts = parts_of(found)
    print_list("Parts", map(_words, (each for each in parts if each.part != WHOLE)))
    if read := [each for each in parts if each.strip]:
        _print_measured(read)
    times = [f"{each.found}: {each.remedy}" for each in from_pieces(found, None)]
    print_list("Time", times)


def print_figures(strip: Strip) -> None:
    """What was measured of one strip."""
    print_list("By its readings", _figures(measures(strip)))


def _words(each: DonePart) -> str:
    bare = "densities were read" if each.strip else "nothing is noted yet"
    said = "; ".join(each.result.lines()) or bare
    return f"{each.called}: {said}"


def _figures(found: Measures) -> Iterator[str]:
    """Each figure with its standard uncertainty, and what the strip does not bear."""
    for field, name in MEASURES.items():
        if value := getattr(found, field):
            yield f"{name} {value}"
    if found.speed:
        index = exposure_index(speed_degrees(found.speed.value))
        yield f"speed {index} ({found.speed.value:.0f} ± {found.speed.uncertainty:.0f})"
    for why, names in by_reason(found.missing):
        yield f"not known: {', '.join(names)}: {why}"


def _print_measured(read: Sequence[DonePart]) -> None:
    found = [measures(each.strip) for each in read if each.strip]
    first = next((each.speed_point for each in found if each.speed_point), None)
    columns = [
        ("Read", "left"), ("Developed", "right"), ("Base + fog", "right"), ("Gamma", "right"),
        ("Contrast\nindex", "right"), ("Faster,\nstops", "right"),
    ]  # fmt: skip
    say("")
    print_table(columns, [_row(*each, first) for each in zip(read, found, strict=True)])


def _row(each: DonePart, found: Measures, first: Estimate | None) -> list[str]:
    return [
        each.part.name or "all",
        each.developed,
        str(found.base_fog or "-"),
        str(found.gamma or "-"),
        str(found.contrast_index or "-"),
        _stops(found.speed_point, first),
    ]


def _stops(point: Estimate | None, first: Estimate | None) -> str:
    """How much faster than the first that was read; that one is 0."""
    if point is None or first is None:
        return "-"
    if point is first:
        return "0"
    stops = stops_faster(point, first)
    return f"{stops.value:+.1f} ± {stops.uncertainty:.1f}".replace("-", "−")


def parts_json(found: Review) -> list[dict[str, Any]]:
    """Each part for scripts, with its readings and what was measured of them."""
    return [
        {
            **each.part._asdict(),
            "developed_ms": each.time_ms,
            "result": each.result.as_json(),
            "measured": _measured_json(measures(each.strip)) if each.strip else None,
        }
        for each in parts_of(found)
        if each.part != WHOLE or each.strip
    ]


def _measured_json(found: Measures) -> dict[str, Any]:
    values = {name: getattr(found, name) for name in (*MEASURES, "speed")}
    return {name: value and value._asdict() for name, value in values.items()}
