"""Steps of a timeline by the names that people give them."""

import re

from darktimer.errors import did_you_mean
from darktimer.process.timeline import Timeline


def steps_named(timeline: Timeline, wanted: str) -> list[int]:
    """The indices of the steps of that name or kind; ``wash`` is each of ``Wash 3 of 10``.

    Raises `ValueError`, whose text names the steps there are.
    """
    named = [(step.name.lower(), plain_name(step.name), step.kind) for step in timeline.steps]
    found = [index for index, names in enumerate(named) if wanted.lower() in names]
    if not found:
        names = list(dict.fromkeys(plain for _, plain, _ in named))
        hint = did_you_mean(wanted, names)
        raise ValueError(f"there is no step {wanted!r}; {hint}there are {', '.join(names)}")
    return found


def plain_name(name: str) -> str:
    """A step's name without which of its changes it is: wash, of ``Wash 3 of 10``."""
    return re.sub(r" \d+ of \d+$", "", name.lower())
