"""What is processed and in what: the film and the vessel as a plan names them."""

from typing import Annotated, Final, Literal

from pydantic import Field

from darktimer.document import Section
from darktimer.document.quantities import Few, Length, Many, Volume, Words

RollFormat = Literal["135-36", "135-24", "135-12", "120"]
CineFormat = Literal["16 mm", "double-8", "8 mm type R", "8 mm type S", "35 mm"]
SheetFormat = Literal["4x5 in", "5x7 in", "8x10 in", "6x9 cm", "9x12 cm", "10x15 cm", "13x18 cm"]

SHEET_FORMATS: Final = frozenset(SheetFormat.__args__)  # type: ignore[attr-defined]
CINE_FORMATS: Final = frozenset(CineFormat.__args__)  # type: ignore[attr-defined]
ROLL_FORMATS: Final = frozenset(RollFormat.__args__)  # type: ignore[attr-defined]


class Film(Section):
    """Rolls by count, motion-picture film by length, sheets by number."""

    format: Literal[RollFormat, CineFormat, SheetFormat]
    count: Many | None = Field(None, description="how many rolls")
    length: Length | None = Field(None, description="how much motion-picture film")
    sheets: Few | None = Field(None, description="how many sheets")


class Vessel(Section):
    """Where the film is processed. Whether light can get in decides how long the dark lasts."""

    kind: Annotated[
        Literal["tub", "bucket", "tray", "cylinder", "spiral tank", "drum"],
        Field(description="what it is"),
    ]
    light: Annotated[
        Literal["open", "closed"],
        Field(description="open: dark until the fix has done its work; closed: dark while loading"),
    ]
    volume: Volume | None = Field(None, description="how much bath it takes")
    name: Words | None = None
