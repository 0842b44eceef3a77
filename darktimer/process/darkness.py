"""When it is dark, and when white light is safe again.

Two facts: light in the room, and light that meets the film. In an open vessel they are one: the
dark lasts until the film has been through what makes light harmless to it, a fix, or a bleach and
the water after it. In a vessel closed to light the dark lasts while the film is loaded; the film in
it must still stay in until light harms it no more.
"""

from collections.abc import Iterable
from dataclasses import replace

from darktimer.plan.model import Plan
from darktimer.plan.steps import Expose, Fix, Load
from darktimer.process.layout import Laid
from darktimer.process.timeline import Step


def dark_from_ms(plan: Plan, steps: tuple[Laid, ...]) -> int | None:
    """When the lights go out; None for a closed vessel that is loaded already."""
    if plan.vessel.light == "closed" and not any(isinstance(step, Load) for step in plan.steps):
        return None
    return next(step.start_ms for step in steps if step.source is not None)


def safe_ms(plan: Plan, steps: tuple[Laid, ...]) -> int | None:
    """The earliest moment at which white light in the room is safe; None where it never is."""
    if plan.vessel.light == "closed":
        return max((step.end_ms for step in steps if step.kind == "load"), default=None)
    return _harmless_ms(plan, steps)


def opened_ms(plan: Plan, steps: Iterable[Laid | Step]) -> int | None:
    """The earliest moment to open a closed vessel; None where no step asks for that."""
    if plan.vessel.light == "open" or not any(isinstance(s, Expose) for s in plan.steps):
        return None
    return max(step.end_ms for step in steps if step.source == plan.light_safe_after)


def _harmless_ms(plan: Plan, steps: tuple[Laid, ...]) -> int | None:
    """When light harms the film itself no more."""
    if plan.light_safe_after is None:
        return None
    laid = [step for step in steps if step.source == plan.light_safe_after][-1]
    written = plan.steps[plan.light_safe_after]
    after_ms = written.light_after if isinstance(written, Fix) else None
    done_ms = laid.clock_ms + after_ms if after_ms else laid.end_ms
    return done_ms + plan.behind_ms(written)


def split_at(step: Laid, at_ms: int | None) -> list[Laid]:
    """The step in one part, or in two where ``at_ms`` falls within it."""
    if at_ms is None or not step.start_ms < at_ms < step.end_ms:
        return [step]
    before = tuple((kind, a, min(b, at_ms)) for kind, a, b in step.spans if a < at_ms)
    after = tuple((kind, max(a, at_ms), b) for kind, a, b in step.spans if b > at_ms)
    lit = replace(step, name=f"{step.name}, in the light")
    return [step.lasting(before), lit.lasting(after)]
