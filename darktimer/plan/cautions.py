"""The usual cautions for what a plan does. Local codes and makers' safety sheets go before them."""

from collections.abc import Iterator
from typing import Final

from darktimer.plan.model import Plan

KITCHEN: Final = (
    "Gloves, goggles, moving air; no food or drink; vessels that held chemistry, or plants steeped "
    "for it, never go back to the kitchen."
)
LOCAL_CODES: Final = (
    "Makers' safety sheets and local codes go before all this; where they disagree, they win."
)


def cautions(plan: Plan) -> Iterator[str]:
    """The cautions that concern this plan, the most particular first."""
    yield from of_usual_baths(plan)
    yield from of_the_work(plan)


def of_usual_baths(plan: Plan) -> Iterator[str]:
    """What such baths usually hold; where recipes are known, the bench says it of what is there."""
    kinds = {step.kind for step in plan.steps}
    if "stop" in kinds:
        yield "Strong acetic acid burns. Acid meeting carbonate foams: never seal that vessel."
    if {"stop", "fix"} <= kinds:
        yield "Acid meeting a sulphite fixer gives off sulphur dioxide: keep the air moving."
    if "develop" in kinds:
        yield "Washing soda harms the eyes; its dust and solution irritate."


def of_the_work(plan: Plan) -> Iterator[str]:
    """What to mind whatever the baths are made of."""
    kinds = {step.kind for step in plan.steps}
    if "fix" in kinds:
        yield "Spent fixer holds silver: hand it in as local rules say, never into a septic tank."
    yield KITCHEN
    yield (
        "Electricity and water: battery power or a protected (RCD/GFCI) socket, mains gear off "
        "the wet bench; clear the floor before the lights go out."
    )
    if plan.vessel.light == "open" or "load" in kinds:
        yield (
            "Undeveloped film wants total darkness: cover or switch off screens, keyboard, charger "
            "and router lights, take off luminous watches. A key press can wake a sleeping display."
        )
    yield "Volume: start low."
    yield LOCAL_CODES
