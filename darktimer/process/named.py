"""Steps of a timeline by the names that people give them."""

import re

from darktimer.errors import UnreadableError, did_you_mean
from darktimer.process.timeline import Timeline


def steps_named(timeline: Timeline, wanted: str) -> list[int]:
    """The indices of the steps of that name, kind or number; ``wash`` is each of ``Wash 3 of 10``.

    Raises `UnreadableError`, whose text names the steps there are.
    """
    named = [
        (str(number), step.name.lower(), plain_name(step.name), step.kind)
        for number, step in enumerate(timeline.steps, 1)
    ]
    found = [index for index, names in enumerate(named) if wanted.lower() in names]
    if not found:
        names = list(dict.fromkeys(plain for _, _, plain, _ in named))
        remedy = f"{did_you_mean(wanted, names)}steps are: {', '.join(names)}"
        raise UnreadableError(f"there is no step {wanted!r}", remedy)
    return found


def plain_name(name: str) -> str:
    """A step's name without which of its changes it is: wash, of ``Wash 3 of 10``."""
    return re.sub(r" \d+ of \d+$", "", name.lower())
