"""What is processed and in what: the film and the vessel as a plan names them."""

import re
from typing import Annotated, ClassVar, Final, Literal, NamedTuple

from darktimer.document import Field, Section
from darktimer.document.fields import Described, ReadBy
from darktimer.document.quantities import ExposureIndex, Few, Length, Many, Words, described
from darktimer.document.section import one_of
from darktimer.errors import UnreadableError
from darktimer.plan.formats import WRITTEN, format_name
from darktimer.units import NUMBER, count, length_m, shown, volume_ml

VesselKind = Literal["tub", "bucket", "tray", "cylinder", "spiral tank", "drum", "room"]

#: The keys that say how much film there is, one for each way of selling it.
MEASURES: Final = ("count", "length", "sheets")


class Film(Section):
    """Rolls by count, motion-picture film by length, sheets by number."""

    example: ClassVar = "{format: 135-36, count: 1}; several films go under films"

    format: Annotated[str, ReadBy(format_name), Described(WRITTEN)]
    count: Many | None = Field(None, description="how many rolls")
    length: Length | None = Field(None, description="how much motion-picture film")
    sheets: Few | None = Field(None, description="how many sheets")
    stock: Words | None = Field(None, description="what film it is, as you call it")
    exposed_at: ExposureIndex | None = Field(None, description="the exposure index it was given")
    note: Words | None = Field(None, description="what else is worth knowing of it")

    @property
    def pieces(self) -> int:
        """How many rolls, sheets or lengths."""
        return self.count or self.sheets or 1

    @property
    def words(self) -> str:
        """How much of what: ``1 x 135-36``, ``6 x 4x5 in``, ``24.4 m of 16 mm``."""
        if self.length is not None:
            return f"{self.length:.3g} m of {self.format}"
        return f"{self.pieces} x {self.format}"


def _sides(raw: str) -> tuple[float, float]:
    """Two lengths, metres, from ``20 x 25 cm`` or ``8 x 10 in``."""
    match = re.fullmatch(rf"\s*({NUMBER})\s*(?:x|×|by)\s*({NUMBER})\s*([^0-9.\s]+)\s*", raw)
    if not match:
        remedy = "write width and length of the floor, such as 20 x 25 cm or 8 x 10 in"
        raise UnreadableError(f"{shown(raw)} is not a size", remedy)
    return length_m(f"{match[1]} {match[3]}"), length_m(f"{match[2]} {match[3]}")


Sides = Annotated[
    tuple[float, float],
    ReadBy(_sides),
    described("width and length", "20 x 25 cm", "8 x 10 in", pattern=r"\d\s*(x|×|by)\s*\d"),
]


class Fill(NamedTuple):
    """How much bath is in ``number`` vessels together, between which the film is shared."""

    each_ml: float
    number: int = 1

    @property
    def ml(self) -> float:
        """All of it."""
        return self.each_ml * self.number


def _fill(raw: str) -> Fill:
    """``1.5 l``, or ``two of 1 l``; raises `UnreadableError`."""
    several = re.fullmatch(r"\s*(\d+|[a-z]+)\s*(?:x|×|of\b)\s*(.*)", raw, re.IGNORECASE)
    if not several:
        return Fill(volume_ml(raw))
    if not several[2]:
        found = f"{shown(raw)} does not say how much goes into each"
        raise UnreadableError(found, "write such as two of 1 l")
    return Fill(volume_ml(several[2]), count(several[1], 2, 10))


Fills = Annotated[
    Fill,
    ReadBy(_fill),
    described("a volume", "500 ml", "1½ l", "two of 1 l", pattern=rf"{NUMBER}\s*\D+$"),
]


class Holds(NamedTuple):
    """How much film a vessel takes: rolls or sheets, or motion-picture film; the other is 0."""

    pieces: int
    length_m: float

    def times(self, number: int) -> "Holds":
        """What so many of it take."""
        return Holds(self.pieces * number, self.length_m * number)


def _holds(raw: str) -> Holds:
    """``2``, ``2 rolls``, ``6 sheets`` or ``50 ft``; raises `UnreadableError`."""
    match = re.fullmatch(r"\s*(\d+|[A-Za-z]+)\s*(rolls?|sheets?)?\s*", raw)
    try:
        return Holds(count(match[1], 1, 999), 0.0) if match else Holds(0, length_m(raw))
    except UnreadableError as error:
        raise UnreadableError(error.found, "write such as 2 rolls, 6 sheets or 50 ft") from None


#: How long it must be dark in a vessel.
LIGHT: Final = {
    "open": "dark until the film is fixed, or bleached and rinsed",
    "closed": "dark while loading",
}
#: No sound says when a lid is on or must stay on, so that film under one that comes off is led as
#: in the open: light that goes on and off between would have to be right each time.
UNDER_A_LID: Final = (
    "a lid that stays on while baths go in and out is light: closed; one that comes off is light: "
    "open, and with it on the room stays dark all the same, until light-safe"
)
_LIGHT_MEANS: Final = "; ".join(f"{word}: {meaning}" for word, meaning in LIGHT.items())


def _light(raw: str) -> str:
    if raw in LIGHT:
        return raw
    raise UnreadableError(f"found {shown(raw)}", f"{one_of(raw, LIGHT)}; {_LIGHT_MEANS}")


class Vessel(Section):
    """Where the film is processed. Whether light can get in decides how long the dark lasts."""

    example: ClassVar = "{kind: spiral tank, light: closed}"
    misplaced_keys: ClassVar = {"lid": UNDER_A_LID}

    kind: VesselKind = Field(description="what it is; a room is tested for light, without a bath")
    light: Annotated[Literal["open", "closed"], ReadBy(_light), Described({"enum": [*LIGHT]})] = (
        Field(description=_LIGHT_MEANS)
    )
    volume: Fills | None = Field(
        None, description="how much bath it takes, best measured with water; of two, two of 1 l"
    )
    reels: Few | None = Field(None, description="reels in a spiral tank, the empty ones too")
    size: Sides | None = Field(None, description="width and length of the floor, inside")
    diameter: Length | None = Field(None, description="inside, of a round vessel")
    holds: Annotated[Holds | None, ReadBy(_holds), described("", "2 rolls", "50 ft")] = Field(
        None, description="how much film it takes at once"
    )
    depth: Length | None = Field(None, description="how deep the bath stands")
    name: Words | None = None
