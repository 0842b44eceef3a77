"""The usual cautions for what a plan does. Local codes and makers' safety sheets go before them."""

from collections.abc import Iterator

from darktimer.plan.model import Plan


def cautions(plan: Plan) -> Iterator[str]:
    """The cautions that concern this plan, the most particular first."""
    kinds = {step.kind for step in plan.steps}
    if "stop" in kinds:
        yield "Strong acetic acid burns. Acid meeting carbonate foams: never seal that vessel."
    if {"stop", "fix"} <= kinds:
        yield "Acid meeting a sulphite fixer gives off sulphur dioxide: keep the air moving."
    if "develop" in kinds:
        yield "Washing soda harms the eyes; its dust and solution irritate."
    if "fix" in kinds:
        yield ("Spent fixer holds silver: hand it in as local rules say, never into a septic tank.")
    yield (
        "Gloves, goggles, moving air; no food or drink; "
        "vessels that held chemistry never go back to the kitchen."
    )
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
    yield "Makers' safety sheets and local codes go before all this; where they disagree, they win."
