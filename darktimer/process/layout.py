"""Lays a plan's steps end to end and tiles each with spans, in whole milliseconds.

Decides when each thing happens. Knows nothing of light or sounds.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from operator import itemgetter

from darktimer.errors import Finding, FindingsError, KeyPath
from darktimer.plan.agitation import LEAST_SPAN_MS
from darktimer.plan.baths import places
from darktimer.plan.kinds import HAND_KINDS
from darktimer.plan.model import Plan
from darktimer.plan.steps import AnyStep, Develop, Load
from darktimer.process import meanings
from darktimer.process.pieces import Cut, Handling, cut
from darktimer.process.schemes import SHORT_SPAN_MS, Body, moving
from darktimer.process.timeline import FilmPiece
from darktimer.units import LONGEST_MS, clock


@dataclass(frozen=True, slots=True)
class Laid:
    """A step in its place. ``source`` is its index in the plan, None for steps that are added.

    Spans are (kind, start, end) and tile the step; ticks are (moment, meaning). ``clock_ms`` is
    where the step's own time starts; ``change_ms`` is the first act of leaving the step. What is
    ``handled`` are single ``pieces`` of a cut film, whose ``step`` is filled in by the compiler.
    """

    name: str
    kind: str
    start_ms: int
    end_ms: int
    spans: tuple[tuple[str, int, int], ...]
    clock_ms: int
    change_ms: int
    source: int | None = None
    ticks: tuple[tuple[int, str], ...] = ()
    sign: str = ""
    handled: tuple[Handling, ...] = ()
    pieces: tuple[FilmPiece, ...] = ()
    gave_way_ms: int = 0

    def lasting(self, spans: tuple[tuple[str, int, int], ...]) -> "Laid":
        """This step with other spans, from the start of the first to the end of the last."""
        return replace(self, start_ms=spans[0][1], end_ms=spans[-1][2], spans=spans)


@dataclass(frozen=True, slots=True)
class Layout:
    """All steps in their places, the last one of kind ``done``, and warnings of them."""

    steps: tuple[Laid, ...]
    warnings: tuple[Finding, ...]


def lay_out(plan: Plan, lights_out_after_ms: int | None = None, lights_on_ms: int = 0) -> Layout:
    """The plan's steps in time; raises `FindingsError` with every step that does not fit.

    ``lights_on_ms`` is a pause for the light, once it harms the film in an open vessel no more.
    """
    lead = plan.habits.lights_out_after if lights_out_after_ms is None else lights_out_after_ms
    steps, faults = _place(plan, lead, lights_on_ms)
    warnings: list[Finding] = []
    firsts = {step.source: step for step in reversed(steps)}  # repeats are alike
    for step in reversed(firsts.values()):
        for length_ms, finding in _shortest_span(step):
            (faults if length_ms < LEAST_SPAN_MS else warnings).append(finding)
    whole_ms = steps[-1].clock_ms - lead
    if whole_ms > LONGEST_MS:
        found = f"the whole plan takes {clock(whole_ms)}"
        faults.append(Finding(("steps",), found, "keep it within 48 hours"))
    if faults:
        raise FindingsError(faults)
    return Layout(tuple(steps), tuple(warnings))


def _place(plan: Plan, lead_ms: int, lights_on_ms: int) -> tuple[list[Laid], list[Finding]]:
    steps = [_added("Get ready", "ready", 0, lead_ms)] if lead_ms else []
    faults: list[Finding] = []
    signs = _signs(plan)
    for index, step in enumerate(plan.steps):
        for turn in range(1, step.repeat + 1):
            try:
                laid = _lay_step(plan, index, _end_ms(steps))
            except FindingsError as error:
                faults += [
                    each._replace(path=_written_at(index, step, each.path))
                    for each in error.findings
                ]
                break
            steps.append(replace(laid, name=_name(step, turn), sign=signs[index]))
        for name, time_ms in _to_light(plan, index, lights_on_ms):
            steps.append(_added(name, "ready", _end_ms(steps), time_ms))
    return [*steps, _done(plan, steps)], faults


def _to_light(plan: Plan, index: int, lights_on_ms: int) -> Iterator[tuple[str, int]]:
    """What follows a step after which there is light, so that it is heard of, and how long that
    takes: a closed vessel is loaded, or what follows in an open one would leave no room for it.
    """
    if plan.vessel.light == "closed":
        if isinstance(plan.steps[index], Load):
            yield "Lights on", plan.habits.lights_on
    elif index == plan.light_safe_after and lights_on_ms:
        if plan.sheets:
            yield "Last sheet", plan.behind_ms(plan.steps[index])
        yield "Lights on", lights_on_ms


def _end_ms(steps: list[Laid]) -> int:
    return steps[-1].end_ms if steps else 0


def _signs(plan: Plan) -> list[str]:
    """What tells each step by sound: its kind, or the place of its vessel from the left."""
    if plan.habits.baths_told_by == "signature":
        return [step.kind for step in plan.steps]
    return [str(k) if 0 < k <= meanings.MOST_PLACES else "" for k in places(plan.steps)]


def _written_at(index: int, step: AnyStep, path: KeyPath) -> KeyPath:
    """The place of ``path`` in a step; the step itself where it goes by the plan's habit."""
    own = path and getattr(step, str(path[0])) is not None
    return ("steps", index, *path) if own else ("steps", index, step.kind)


def _added(name: str, kind: str, start_ms: int, length_ms: int) -> Laid:
    end_ms = start_ms + length_ms
    return Laid(name, kind, start_ms, end_ms, ((kind, start_ms, end_ms),), start_ms, end_ms)


def _name(step: AnyStep, turn: int) -> str:
    return f"{step.called} {turn} of {step.repeat}" if step.repeat > 1 else step.called


def _done(plan: Plan, steps: list[Laid]) -> Laid:
    """The end. Sheets leave the last bath one after another, as they went in."""
    start = _end_ms(steps)
    leaving = plan.sheets * plan.habit(plan.steps[-1], "transfer")
    if not leaving or plan.steps[-1].kind in HAND_KINDS:
        return _added("Done", "done", start, 1_000)
    done = _added("Done", "done", start + leaving, 1_000)
    ticks = ((start, meanings.SHEET), *_sheets_over(plan, plan.steps[-1], start))
    return replace(done.lasting((("transfer", start, done.start_ms), *done.spans)), ticks=ticks)


def _sheets_over(plan: Plan, step: AnyStep, start_ms: int) -> tuple[tuple[int, str], ...]:
    """A tick for each sheet after the first, which the step's own cue calls for."""
    each = plan.habit(step, "transfer")
    return tuple((start_ms + k * each, meanings.SHEET) for k in range(1, plan.sheets))


def _lay_step(plan: Plan, index: int, start_ms: int) -> Laid:
    step = plan.steps[index]
    if step.kind in HAND_KINDS:
        laid = _added("", step.kind, start_ms, step.time_ms or plan.habits.loading)
        return replace(laid, source=index, spans=(("hand", start_ms, laid.end_ms),))
    return lay_bath(plan, index, step, start_ms)


def lay_bath(plan: Plan, index: int, step: AnyStep, start_ms: int) -> Laid:
    """A step in its bath, from the moment ``start_ms``; raises `FindingsError` by its own paths."""
    body, end_ms = _body(plan, step, start_ms)
    scheme = plan.agitation(step)
    assert scheme is not None, "the plan's checks see to it"
    film = Cut((), (), moving(scheme, body))
    if isinstance(step, Develop) and step.pieces:
        film = cut(plan, step, body, film.moved, end_ms)
    spans = [("transfer", start_ms, body.begins_ms), *_tiled(body, film)]
    if end_ms > body.ends_ms:
        spans.append(("drain", body.ends_ms, end_ms))
    over = _sheets_over(plan, step, start_ms)
    return Laid(
        name="",
        kind=step.kind,
        start_ms=start_ms,
        end_ms=end_ms,
        spans=tuple(spans),
        clock_ms=body.clock_ms,
        change_ms=body.ends_ms,
        source=index,
        ticks=(*over, *film.moved.ticks),
        handled=film.handled,
        pieces=film.pieces,
        gave_way_ms=film.gave_way_ms,
    )


def _body(plan: Plan, step: AnyStep, start_ms: int) -> tuple[Body, int]:
    """The body of a bath and the end of its step, by the plan's convention of time.

    Sheets that go one after another each have the same time, from their own tick in this bath to
    their own tick in the next: their clock starts with the first one, their drain is inside.
    """
    time_ms = step.time_ms or 0
    drain_ms = plan.habit(step, "drain")
    transfer_ms = plan.habit(step, "transfer") * (plan.sheets or 1)
    begins_ms = start_ms + transfer_ms
    clock_ms = start_ms if plan.sheets or plan.clock_starts == "pour" else begins_ms
    clock_end_ms = clock_ms + time_ms
    inside = plan.sheets or plan.drain_is == "inside"
    ends_ms, end_ms = (
        (clock_end_ms - drain_ms, clock_end_ms)
        if inside
        else (clock_end_ms, clock_end_ms + drain_ms)
    )
    if ends_ms - begins_ms < LEAST_SPAN_MS:
        found = (
            f"{clock(time_ms)} leaves no time between transfer and drain, "
            f"{clock(transfer_ms)} and {clock(drain_ms)}"
        )
        remedy = "write a longer time, or a shorter transfer or drain"
        raise FindingsError([Finding((), found, remedy)])
    opening_ms, countdown_ms = plan.habit(step, "opening"), 1_000 * plan.habit(step, "countdown")
    body = Body(clock_ms, time_ms, begins_ms, ends_ms, opening_ms, plan.sheets, countdown_ms)
    return body, end_ms


def _tiled(body: Body, film: Cut) -> Iterator[tuple[str, int, int]]:
    """Bouts, pieces by themselves, and standing between them, tiling the body."""
    at = body.begins_ms
    busy = [("agitate", *bout) for bout in film.moved.bouts]
    busy += [("piece", each.start_ms, each.end_ms) for each in film.handled]
    for kind, start, end in sorted(busy, key=itemgetter(1)):
        if start > at:
            yield "stand", at, start
        yield kind, start, end
        at = end
    if at < body.ends_ms:
        yield "stand", at, body.ends_ms


def _shortest_span(step: Laid) -> Iterator[tuple[int, Finding]]:
    """The length of the shortest span of moving or standing, if hands can hardly follow it."""
    short = [
        (end - start, kind, start)
        for kind, start, end in step.spans
        if kind in ("agitate", "stand") and end - start < SHORT_SPAN_MS
    ]
    if not short:
        return
    length, kind, start = min(short)
    doing = "moving" if kind == "agitate" else "standing"
    found = (
        f"{doing} lasts only {length / 1000:g} s at {clock(start - step.clock_ms)} of {step.name}"
    )
    remedy = "write a longer cycle, other moments, or another opening"
    yield length, Finding(("steps", step.source or 0, step.kind), found, remedy)
