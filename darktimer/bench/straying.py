"""Baths that leave the usual temperatures while film is in them.

Knows where a drifting bath ends. Whether it begins outside is seen by the checks of a plan.
"""

from collections.abc import Iterator

from darktimer.bench.measures import METRIC, Measures
from darktimer.bench.times import drifting_bath
from darktimer.bench.tonight import known_vessel
from darktimer.errors import Finding
from darktimer.plan.baths import bath_name, is_water
from darktimer.plan.model import Plan
from darktimer.plan.temperature import USUAL_RANGE_CELSIUS, is_usual


def straying(plan: Plan, say: Measures = METRIC) -> Iterator[Finding]:
    """Steps whose bath has another than a usual temperature by their end."""
    vessel = known_vessel(plan)
    for place, step in enumerate(plan.steps):
        known = None if is_water(bath_name(step)) else drifting_bath(plan, place, vessel)
        if known is None or not is_usual(known[0].start_celsius):
            continue
        start, end = known[0].start_celsius, known[0].celsius_at(step.time_ms or 0)
        if not is_usual(end):
            low, high = map(say.temperature, USUAL_RANGE_CELSIUS)
            found = (
                f"the bath drifts from {say.temperature(start)} to {say.temperature(end)}, outside "
                f"the usual {low} to {high}"
            )
            remedy = "stand its vessel in more water of the temperature that it is to keep"
            yield Finding(("steps", place, step.kind), found, remedy)
