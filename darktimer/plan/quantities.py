"""How the quantities of a plan are read from text, and how the schema describes them."""

from collections.abc import Callable
from fractions import Fraction
from typing import Annotated, Any, Final, Literal

from pydantic import BeforeValidator, Field, WithJsonSchema

from darktimer import units
from darktimer.errors import UnreadableError

#: The words that switch a habit off; ``no`` is what people write, and here it stays text.
NONE_WORDS: Final = ("none", "no", "off", "0", "0 s")


def _text(read: Callable[[str], Any]) -> BeforeValidator:
    """Reads text by ``read``; what is no text at all is a fault that says so."""

    def validator(raw: Any) -> Any:
        if isinstance(raw, str):
            return read(raw)
        if isinstance(raw, dict | list):
            found = "a block of keys" if isinstance(raw, dict) else "a list"
            raise UnreadableError(f"{found} stands here", "write plain text")
        return raw

    return BeforeValidator(validator)


def _or_none(read: Callable[[str], int]) -> Callable[[str], int]:
    return lambda raw: 0 if raw.strip().lower() in NONE_WORDS else read(raw)


def _words(raw: str) -> str:
    if not raw.strip():
        raise UnreadableError("nothing is written", "write a few words")
    if len(raw) > 2000:
        raise UnreadableError(f"this text has {len(raw)} letters", "write at most 2000")
    text = " ".join(raw.split())
    # What a terminal would obey instead of showing; joiners are part of how some scripts write.
    if not text.translate(dict.fromkeys(map(ord, "\u200c\u200d"))).isprintable():
        raise UnreadableError("this text holds signs that cannot be printed", "leave them out")
    return text


def _schema(description: str, *examples: str, pattern: str, **more: Any) -> WithJsonSchema:
    schema = {"type": "string", "description": description, "examples": list(examples)}
    return WithJsonSchema({**schema, "pattern": pattern, **more})


# The schema describes text, as this program reads it. Editors read scalars by YAML's own rules, so
# that a bare number reaches it as a number there; it is let in where a number alone has a meaning.
_DURATION_PATTERN: Final = r"^\s*(\d+(\.\d+)?\s*[A-Za-z]+\s*)+$|^\s*(\d+:)?\d+:\d\d(\.\d{1,3})?\s*$"
_SHARE_PATTERN: Final = r"^\s*\d+(\.\d+)?\s*(%|/\s*\d+)?\s*$"
_NONE_PATTERN: Final = r"^\s*(none|no|off|0|0 s)\s*$"

Words = Annotated[str, _text(_words), WithJsonSchema({"type": "string", "minLength": 1})]
Duration = Annotated[
    int,
    _text(units.duration_ms),
    _schema("a duration", "15 min", "7:30", "90 s", "1 h 5 min", pattern=_DURATION_PATTERN),
]
DurationOrNone = Annotated[
    int,
    _text(_or_none(units.duration_ms)),
    _schema("a duration, or none", "10 s", "none", pattern=f"{_NONE_PATTERN}|{_DURATION_PATTERN}"),
]
Temperature = Annotated[
    float,
    _text(units.temperature_celsius),
    _schema("a temperature", "20 C", "68 F", pattern=r"^\s*-?\d+(\.\d+)?\s*\D+$"),
]
Volume = Annotated[
    float,
    _text(units.volume_ml),
    _schema("a volume", "500 ml", "1.5 l", "32 US fl oz", pattern=r"^\s*\d+(\.\d+)?\s*\D+$"),
]
Length = Annotated[
    float,
    _text(units.length_m),
    _schema("a length", "100 ft", "30 m", pattern=r"^\s*\d+(\.\d+)?\s*\D+$"),
]
Share = Annotated[
    Fraction,
    _text(units.share),
    _schema("a share", "1/2", "50 %", pattern=_SHARE_PATTERN, type=["string", "number"]),
]


def _count(least: int, most: int) -> Callable[[str], int]:
    return lambda raw: units.count(raw, least, most)


def _count_schema(least: int, most: int, pattern: str = r"^\s*\d+\s*$") -> WithJsonSchema:
    bounds = {"type": ["string", "integer"], "minimum": least, "maximum": most}
    described = f"a whole number from {least} to {most}"
    return _schema(described, str(least), pattern=pattern, **bounds)


Few = Annotated[int, _text(_count(1, 60)), _count_schema(1, 60)]
Many = Annotated[int, _text(_count(1, 999)), _count_schema(1, 999)]
Pips = Annotated[
    int,
    _text(_or_none(_count(0, 9))),
    _count_schema(0, 9, pattern=rf"{_NONE_PATTERN}|^\s*\d\s*$"),
]


def _warnings(raw: Any) -> Any:
    if isinstance(raw, str):
        return [] if raw.strip().lower() in NONE_WORDS else [raw]
    return raw


_AtMostThree = Annotated[list[Duration], Field(max_length=3)]
Warnings = Annotated[
    tuple[Duration, ...],
    Field(max_length=3),
    BeforeValidator(_warnings, json_schema_input_type=_AtMostThree | DurationOrNone),
]


def _by_hand(raw: Any) -> Any:
    return None if isinstance(raw, str) and raw.strip().lower() == "by hand" else raw


HandTime = Annotated[
    Duration | None,
    BeforeValidator(_by_hand, json_schema_input_type=Duration | Literal["by hand"]),
]
