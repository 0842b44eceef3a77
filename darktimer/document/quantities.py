"""Quantities as models read them from text, and as a schema describes them to an editor."""

from collections.abc import Callable
from fractions import Fraction
from typing import Annotated, Any, Final

from darktimer import units
from darktimer.document.fields import Described, ReadBy, found
from darktimer.errors import UnreadableError


def _words(raw: str) -> str:
    if not raw.strip():
        raise UnreadableError(found(raw), "write a few words")
    if len(raw) > 2000:
        raise UnreadableError(f"this text has {len(raw)} letters", "write at most 2000")
    text = " ".join(raw.split())
    # What a terminal would obey instead of showing; joiners are part of how some scripts write.
    if not text.translate(dict.fromkeys(map(ord, "\u200c\u200d"))).isprintable():
        raise UnreadableError("this text has characters that cannot be printed", "leave them out")
    return text


def described(
    description: str, *examples: str, pattern: str | None = None, **more: Any
) -> Described:
    """Text as a schema tells an editor of it; ``more`` are further keys of JSON Schema."""
    schema = {"type": "string", "description": description, "examples": list(examples)}
    return Described({**schema, **({"pattern": pattern} if pattern else {}), **more})


def _yes(raw: str) -> bool:
    said = raw.strip().lower()
    if said in ("yes", "no"):
        return said == "yes"
    raise UnreadableError(f"{units.shown(raw)} is neither yes nor no", "write yes or no")


# The schema describes text, as this program reads it. Editors read scalars by YAML's own rules, so
# that a bare number reaches it as a number there; it is let in where a number alone has a meaning.
_DURATION_PATTERN: Final = (
    rf"""^\s*({units.NUMBER}\s*([A-Za-z]+|['"′″])\s*)+$|"""
    r"^\s*(\d+:)?\d+:\d\d(\.\d{1,3})?\s*$"
)
_SHARE_PATTERN: Final = rf"^\s*{units.NUMBER}\s*%?\s*$"
_OF_A_UNIT: Final = rf"^\s*{units.NUMBER}\s*\D+$"
_NONE_PATTERN: Final = r"^\s*(none|no|off|0|0 s)\s*$"

Words = Annotated[str, ReadBy(_words), Described({"type": "string", "minLength": 1})]
YesNo = Annotated[
    bool,
    ReadBy(_yes),
    described("yes or no", "yes", pattern=r"^\s*(yes|no)\s*$", type=["string", "boolean"]),
]
Duration = Annotated[
    int,
    ReadBy(units.duration_ms),
    described("a duration", "15 min", "7:30", "90 s", "1 h 5 min", pattern=_DURATION_PATTERN),
]
DurationOrNone = Annotated[
    int,
    ReadBy(units.duration_or_none_ms),
    described(
        "a duration, or none", "10 s", "none", pattern=f"{_NONE_PATTERN}|{_DURATION_PATTERN}"
    ),
]
Temperature = Annotated[
    float,
    ReadBy(units.temperature_celsius),
    described("a temperature", "20 C", "68 F", pattern=r"^\s*-?\d+(\.\d+)?\s*\D+$"),
]
Volume = Annotated[
    float,
    ReadBy(units.volume_ml),
    described("a volume", "500 ml", "1½ l", "32 US fl oz", pattern=_OF_A_UNIT),
]
Length = Annotated[
    float,
    ReadBy(units.length_m),
    described("a length", "100 ft", "30 m", pattern=_OF_A_UNIT),
]
Share = Annotated[
    Fraction,
    ReadBy(units.share),
    described("a share", "1/2", "50 %", pattern=_SHARE_PATTERN, type=["string", "number"]),
]


_COUNT_PATTERN: Final = rf"^\s*(\d+|{'|'.join(units.WORDS[1:])})\s*$"


def _count(least: int, most: int) -> Callable[[str], int]:
    return lambda raw: units.count(raw, least, most)


def _count_schema(least: int, most: int, pattern: str = _COUNT_PATTERN) -> Described:
    bounds = {"type": ["string", "integer"], "minimum": least, "maximum": most}
    said = f"a whole number from {least} to {most}"
    return described(said, str(least), pattern=pattern, **bounds)


ExposureIndex = Annotated[
    int,
    ReadBy(units.index_degrees),
    described(
        "an exposure index, arithmetic, in degrees or both",
        "200",
        "24°",
        "200/24°",
        pattern=r"^\s*(\d+(\.\d+)?\s*(/\s*\d{1,2}\s*°?)?|\d{1,2}\s*°)\s*$",
        type=["string", "number"],
    ),
]


Few = Annotated[int, ReadBy(_count(1, 60)), _count_schema(1, 60)]
Many = Annotated[int, ReadBy(_count(1, 999)), _count_schema(1, 999)]
Pips = Annotated[
    int,
    ReadBy(lambda raw: 0 if units.is_none(raw) else units.count(raw, 0, 9)),
    _count_schema(0, 9, pattern=rf"{_NONE_PATTERN}|^\s*\d\s*$"),
]
