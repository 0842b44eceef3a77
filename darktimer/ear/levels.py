"""How loud a cue must be played to be clear: from low upwards, and no louder than is allowed.

Knows levels, in dB against a run; who plays and who listens is handed in.
"""

from collections.abc import Callable, Iterator, Sequence
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:  # loads numpy, which somebody who only names a level can do without
    from darktimer.ear.audible import Audible

START_DB: Final = -30
_STEP_DB: Final = 6


def levels(most_db: int) -> Iterator[int]:
    """From low to the most that is allowed."""
    yield from range(START_DB, most_db, _STEP_DB)
    yield most_db


def rising(
    judge: "Callable[[str, int], Audible]", meanings: Sequence[str], first: str, most_db: int
) -> "tuple[int, list[Audible]]":
    """Judges louder and louder until every one is clear or the level is reached: that, and all.

    While the ``first`` is not clear, nothing else is judged.
    """
    heard: dict[str, Audible] = {}
    for level_db in levels(most_db):
        heard[first] = judge(first, level_db)
        if heard[first].verdict != "clear" and level_db < most_db:
            continue
        for meaning in meanings:
            if meaning not in heard or heard[meaning].verdict != "clear":
                heard[meaning] = judge(meaning, level_db)
        if all(each.verdict == "clear" for each in heard.values()):
            break
    return level_db, [heard[meaning] for meaning in meanings]
