"""What of a develop's agitation has no room in a shorter time, and what takes its place."""

from typing import Final

from darktimer.journal.revise import Changes
from darktimer.journal.suggestion import COMMON, Suggestion, is_block, written
from darktimer.plan.agitation import Inversions, ShareOfTime, Stand
from darktimer.plan.reader import PlanFile
from darktimer.plan.steps import Develop
from darktimer.units import clock

_TO_MS: Final = 5_000


def shorter_agitation(
    file: PlanFile, index: int, carried_ms: int, time_ms: int
) -> Suggestion | None:
    """For the develop at ``index``, which is to have ``time_ms`` in place of what it was carried
    out for: as many bouts as before, or the given moments that are left.
    """
    step = file.plan.steps[index]
    assert isinstance(step, Develop)
    scheme, ratio = file.plan.agitation(step), time_ms / step.develop
    room_ms = ratio * min(carried_ms, step.develop)
    if isinstance(scheme, ShareOfTime) and scheme.cycle > room_ms:
        cycle = written(max(_TO_MS, int(scheme.cycle * ratio) // _TO_MS * _TO_MS))
        found = f"{clock(time_ms)} holds no whole cycle of {clock(scheme.cycle)}"
        whole = f"{{share: {scheme.share}, cycle: {cycle}}}"
        changes = _changed(file, index, "cycle", cycle, whole)
        return Suggestion(found, f"a shorter cycle, of {cycle}", COMMON, changes)
    if isinstance(scheme, Inversions) and scheme.at:
        inside = [moment for moment in scheme.at if moment + scheme.within <= room_ms]
        if len(inside) < len(scheme.at):
            gone = ", ".join(clock(moment) for moment in scheme.at[len(inside) :])
            found = f"{clock(time_ms)} is over before the turns at {gone}"
            changes = _at(file, index, scheme, [written(moment) for moment in inside])
            return Suggestion(found, "leave them out", COMMON, changes)
    return None


def _at(file: PlanFile, index: int, scheme: Inversions, moments: list[str]) -> Changes:
    if not moments:
        return {("steps", index, "agitation"): Stand.words}
    at = f"[{', '.join(moments)}]"
    within = written(scheme.within)
    whole = f"{{inversions: {scheme.inversions}, within: {within}, at: {at}}}"
    return _changed(file, index, "at", at, whole)


def _changed(file: PlanFile, index: int, key: str, value: str, whole: str) -> Changes:
    """One key of an agitation that the step has as a block, else the whole of it for the step."""
    place = ("steps", index, "agitation")
    own = getattr(file.plan.steps[index], "agitation", None) and is_block(file, place)
    return {(*place, key): value} if own else {place: whole}
