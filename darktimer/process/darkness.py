"""When it is dark, and when white light is safe again.

In an open vessel the dark lasts until the last dark bath has done what makes light safe: the fix.
In a vessel closed to light it lasts while the film is loaded. Where neither is in the plan, light
is never safe.
"""

from dataclasses import replace

from darktimer.plan.model import Plan
from darktimer.plan.steps import Fix, Load
from darktimer.process.layout import Laid


def dark_from_ms(plan: Plan, steps: tuple[Laid, ...]) -> int | None:
    """When the lights go out; None for a closed vessel that is loaded already."""
    if plan.vessel.light == "closed" and not any(isinstance(step, Load) for step in plan.steps):
        return None
    return next(step.start_ms for step in steps if step.source is not None)


def safe_ms(plan: Plan, steps: tuple[Laid, ...]) -> int | None:
    """The earliest moment at which light is safe; None where the plan never makes it so."""
    if plan.vessel.light == "closed":
        return max((step.end_ms for step in steps if step.kind == "load"), default=None)
    if plan.fix_before_light is None:
        return None
    laid = [step for step in steps if step.source == plan.fix_before_light][-1]
    fix = plan.steps[plan.fix_before_light]
    after_ms = fix.light_after if isinstance(fix, Fix) else None
    done_ms = laid.clock_ms + after_ms if after_ms else laid.end_ms
    # The last of sheets that go one by one has had its time so much later than the first.
    stagger_ms: int = plan.sheets * plan.habit(fix, "transfer")
    return done_ms + stagger_ms


def split_at(step: Laid, at_ms: int | None) -> list[Laid]:
    """The step in one part, or in two where ``at_ms`` falls within it."""
    if at_ms is None or not step.start_ms < at_ms < step.end_ms:
        return [step]
    before = tuple((kind, a, min(b, at_ms)) for kind, a, b in step.spans if a < at_ms)
    after = tuple((kind, max(a, at_ms), b) for kind, a, b in step.spans if b > at_ms)
    lit = replace(step, name=f"{step.name}, in the light")
    return [step.lasting(before), lit.lasting(after)]
