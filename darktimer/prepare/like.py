"""A plan begun from that of a run, and what of the run was not as its plan has it.

Of a film that was cut into pieces all of it is given the time of the piece that is to be repeated.
"""

from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Final, NamedTuple

from darktimer.cues.reader import load_cue_set
from darktimer.journal.clocks import local_text
from darktimer.journal.developments import developments_in
from darktimer.journal.from_pieces import one_time
from darktimer.journal.journal import Journal
from darktimer.journal.piece_times import DonePart, develop_of, pieces_of
from darktimer.journal.review import Review, review
from darktimer.journal.revise import Changes, revise
from darktimer.journal.runs import Run
from darktimer.journal.shorter_agitation import shorter_agitation
from darktimer.journal.suggestion import place_of
from darktimer.journal.worth import written_for
from darktimer.plan.baths import bath_name
from darktimer.plan.model import Plan
from darktimer.plan.reader import PlanFile, read_plan_text
from darktimer.plan.steps import AnyStep, Develop
from darktimer.prepare.prepared import Prepared, prepare_file
from darktimer.units import clock

_TO_MS: Final = 1_000


class Like(NamedTuple):
    """The text to write, the plan as it is carried out today, and what differed in the run."""

    text: str
    prepared: Prepared
    differed: tuple[str, ...]


def like(journal: Journal, number: int, target: Path) -> Like:
    """The plan of a run, to stand in ``target``; raises `DarktimerError` where it is none today."""
    found = review(journal, number)
    began = local_text(found.run.started.wall_utc_ms)
    text = f"# Begun from run {number} of {began}.\n{journal.plan_text(number)}"
    file = read_plan_text(text, target)
    develop, kept = develop_of(found), [*_kept(found)]
    differed = [*_differed(found.run, file.plan, develop if kept else None)]
    if found.run.pieces and develop is not None:
        if kept:
            changes, reasons = _as_one(found, file, develop, kept[-1])
            differed += reasons
            file = read_plan_text(text := revise(text, file.document, changes), target)
        differed.append(_of_pieces(found.run, file.plan.steps[develop], kept))
    return Like(text, prepare_file(file, load_cue_set("standard")), tuple(differed))


def _kept(found: Review) -> Iterator[DonePart]:
    """The pieces that are kept, as far as they were developed at all."""
    return (each for each in pieces_of(found) if each.result.kept and each.time_ms)


def _as_one(
    found: Review, file: PlanFile, develop: int, kept: DonePart
) -> tuple[Changes, list[str]]:
    """What makes all of the film as the piece was, and what there is to say of it."""
    basis, piece = found.bases[develop], found.run.pieces[(kept.part.piece or 1) - 1]
    wanted_ms = written_for(basis, kept.time_ms or 0)
    time_ms = max(1, round(wanted_ms / _TO_MS)) * _TO_MS
    changes = one_time(found, develop, time_ms)
    if piece.agitation:
        return {**changes, place_of(file.plan, develop, "agitation"): piece.agitation}, []
    shorter = shorter_agitation(file, develop, basis.carried_ms, time_ms)
    if shorter is None:
        return changes, []
    return {**changes, **shorter.changes}, [f"{shorter.found}: {shorter.remedy}"]


def _of_pieces(run: Run, step: AnyStep, kept: Sequence[DonePart]) -> str:
    """Which time the film has, and why."""
    number, lasts = run.number, f"{bath_name(step)} is for {clock(step.time_ms or 0)}"
    if not kept:
        return (
            f"{lasts}, the longest of its pieces, as in run {number}, and the film is cut again, "
            "since none of them is kept: mark one by "
            f"darktimer journal add-result {number} --piece 1 --keep, or let darktimer next "
            f"{number} find a time"
        )
    *others, last = kept
    names = ", ".join(each.part.name for each in kept)
    which = f"the last of those that are kept: {names}" if others else "which is kept"
    stands = " and stands as it did" if run.pieces[(last.part.piece or 1) - 1].agitation else ""
    why = f"{lasts}, the time of {last.part.name} of run {number}, {which}"
    return f"{why}; the film is not cut again{stands}"


def _differed(run: Run, plan: Plan, but: int | None) -> Iterator[str]:
    """Develops that did not last as long as they would by the plan, ``but`` one by its place."""
    steps = ((place, each) for place, each in enumerate(plan.steps) if isinstance(each, Develop))
    places = (place for place, each in steps for _ in range(each.repeat))
    planned_ones = developments_in(plan, ())
    for place, done, planned in zip(places, run.developments, planned_ones, strict=False):
        if done.time_ms != planned.time_ms and place != but:
            yield (
                f"{planned.developer} was for {clock(done.time_ms)} in run {run.number}; this plan "
                f"makes it {clock(planned.time_ms)}"
            )
