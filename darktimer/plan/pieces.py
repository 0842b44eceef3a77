"""One film cut into pieces that share their baths, as a plan says it.

Pieces differ in how long they develop, or in whether they are moved. Each has its number, its place
in the plan; a ladder begins with the shortest.
"""

from typing import Annotated, ClassVar, Final, Literal

from darktimer.document import Field, Section
from darktimer.document.fields import Lengths
from darktimer.document.quantities import Duration, Few, Share, Words
from darktimer.plan.baths import WATER

#: A count is heard up to so many.
MOST_PIECES: Final = 8


class Pieces(Section):
    """Either ``times``, or a ladder of ``count`` times, or ``count`` pieces of which some stand.

    The longest time is that of the develop itself.
    """

    example: ClassVar = "{times: [6 min, 8 min, 11 min], in: one by one}"
    misplaced_keys: ClassVar = {
        "agitation": "two hands move in one way at a time; write standing: 1 for a piece that is "
        "left alone in a vessel of its own",
    }

    times: Annotated[tuple[Duration, ...], Lengths(1, MOST_PIECES)] = Field(
        (), description="how long each piece develops, by its number"
    )
    count: Few | None = Field(None, description="how many pieces, 2 to 8")
    stops_apart: Share | None = Field(
        None, description="stops of time from each piece to the next, up to the develop's own time"
    )
    standing: Few | None = Field(
        None, description="how many of the pieces, the last ones, are only moved in the opening"
    )
    in_: Literal["one by one"] | None = Field(
        None,
        written="in",
        description="go in one after another, the longest first, and leave together",
    )
    out: Literal["one by one"] | None = Field(
        None, description="go in together and leave one after another, the shortest first"
    )
    into: Words | None = Field(
        None, description="where a piece waits that is out: water, or a later bath of the plan"
    )

    def times_ms(self, longest_ms: int) -> tuple[int, ...]:
        """How long each develops; those of a ladder fall on whole seconds, but for the longest."""
        count, stops = self.count or 0, self.stops_apart
        if not stops:
            return self.times or (longest_ms,) * count
        shorter = (longest_ms / 2 ** (float(stops) * k) for k in range(count - 1, 0, -1))
        return (*(round(each / 1000) * 1000 for each in shorter), longest_ms)

    @property
    def holding_bath(self) -> str:
        """Where pieces wait that are out before the others."""
        return self.into or WATER
