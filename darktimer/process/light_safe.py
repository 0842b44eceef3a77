"""What is said of the moment at which light is safe, and what must wait until that was heard."""

from collections.abc import Iterable, Iterator

from darktimer.errors import Finding, FindingsError
from darktimer.plan.fixing import cold_warning, fixes_of
from darktimer.plan.model import Plan
from darktimer.plan.steps import Expose, Fix, Load, PutAway
from darktimer.process import meanings
from darktimer.process.darkness import opened_ms
from darktimer.process.layout import Laid
from darktimer.process.timeline import Cue, Step
from darktimer.units import clock, next_second

_BLEACHED = "the film is bleached and rinsed"


def light_notes(
    plan: Plan, light_ms: int | None, steps: Iterable[Laid | Step], cues: Iterable[Cue]
) -> Iterator[str]:
    """When light is safe, and when that is heard, if something else has to be told first.

    Of a closed vessel too: when it may be opened, where a step asks for that.
    """
    if plan.vessel.light == "closed" and any(isinstance(step, Load) for step in plan.steps):
        yield "If the vessel is not closed by then, keep the light off whatever you hear."
    if light_ms is not None:
        heard_ms = next(cue.at_ms for cue in cues if cue.meaning == meanings.LIGHT_SAFE)
        later = f"; its cue comes at {clock(heard_ms)}" if heard_ms > light_ms else ""
        yield f"Light is safe at {clock(light_ms)}, and not before: {_reason(plan)}{later}."
    elif plan.vessel.light == "open":
        yield "Nothing in this plan makes light safe: the film must stay in the dark."
    if (open_ms := opened_ms(plan, steps)) is not None:
        yield f"The vessel may be opened at {clock(open_ms)}, and not before: {_BLEACHED}."


def refuse_dark_exposure(steps: Iterable[Laid], cues: Iterable[Cue]) -> None:
    """Nobody makes light before light-safe is over, and the exposure is timed from its light."""
    safe_ms = max((cue.end_ms for cue in cues if cue.meaning == meanings.LIGHT_SAFE), default=0)
    for step in steps:
        _, begins_ms, lit_ms = step.spans[0]
        if step.kind == Expose.kind and lit_ms < safe_ms:
            late = clock(next_second(safe_ms - lit_ms))
            found = f"light-safe is heard to its end only {late} after the exposure began"
            least_s = next_second(safe_ms - begins_ms) // 1000
            remedy = f"write transfer: {least_s} s in it, or a clearing bath before it"
            raise FindingsError([Finding(("steps", step.source or 0, step.kind), found, remedy)])


def _reason(plan: Plan) -> str:
    if plan.vessel.light == "closed":
        return "the vessel is loaded and closed"
    after = None if plan.light_safe_after is None else plan.steps[plan.light_safe_after]
    if isinstance(after, PutAway):
        return "the film is put away"
    if after and not isinstance(after, Fix):
        return _BLEACHED
    cold = next(filter(None, (cold_warning(plan, fix) for _, fix in fixes_of(plan))), None)
    told = f", if its time is for such cold: {cold.text()}" if cold else ""
    return f"the film is fixed{told}"
