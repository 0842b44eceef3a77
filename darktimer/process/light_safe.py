"""What is said of the moment at which light is safe, and what waits until that was heard."""

from collections.abc import Iterable, Iterator, Sequence

from darktimer.plan.fixing import cold_warning, fixes_of
from darktimer.plan.model import Plan
from darktimer.plan.steps import Expose, Fix, Load, PutAway
from darktimer.process import meanings
from darktimer.process.darkness import opened_ms
from darktimer.process.layout import Laid
from darktimer.process.spacing import CLEAR_MS
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
        yield from _pause(plan, light_ms, steps)
    elif plan.vessel.light == "open":
        yield "Nothing in this plan makes light safe: the film must stay in the dark."
    if (open_ms := opened_ms(plan, steps)) is not None:
        yield f"The vessel may be opened at {clock(open_ms)}, and not before: {_BLEACHED}."


def pause_for_light_ms(plan: Plan, steps: Sequence[Laid], cues: Iterable[Cue]) -> int:
    """How long to wait once light is safe, until that was heard and the lamp is on; 0 for no wait.

    Nobody makes light before that sound is over, and an exposure is timed from its light. Where
    acts follow each other too soon for it, it would be heard only after all of them: then it is
    quicker to wait.
    """
    cue = next((cue for cue in cues if cue.meaning == meanings.LIGHT_SAFE), None)
    after = plan.light_safe_after
    if cue is None or after is None:
        return 0
    over_ms = max(step.end_ms for step in steps if step.source == after)
    over_ms += plan.behind_ms(plan.steps[after])
    unlit = any(s.clock_ms < cue.end_ms for s in steps if s.kind == Expose.kind)
    if unlit or cue.at_ms > over_ms + plan.habits.lights_on:
        return max(plan.habits.lights_on, next_second(cue.length_ms + 2 * CLEAR_MS))
    return 0


def _pause(plan: Plan, light_ms: int, steps: Iterable[Laid | Step]) -> Iterator[str]:
    added = (step for step in steps if step.source is None and step.start_ms >= light_ms)
    pause = next((step for step in added if step.kind == "ready"), None)
    if pause and plan.vessel.light == "open":
        lasting = clock(pause.end_ms - pause.start_ms)
        yield (
            f"{pause.name} is a pause of {lasting} for that sound and the lamp; what follows would "
            "leave them no room."
        )


def _reason(plan: Plan) -> str:
    if plan.vessel.light == "closed":
        return "the vessel is loaded and closed"
    after = None if plan.light_safe_after is None else plan.steps[plan.light_safe_after]
    if isinstance(after, PutAway):
        return "the film is put away"
    if after and not isinstance(after, Fix):
        return _BLEACHED
    cold = next(filter(None, (cold_warning(plan, fix) for _, fix in fixes_of(plan))), None)
    condition = f", if its time is for such cold: {cold.text()}" if cold else ""
    return f"the film is fixed{condition}"
