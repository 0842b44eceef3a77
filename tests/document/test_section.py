"""A section: every fault at once, and the same fields told to editors."""

from pathlib import Path
from typing import Annotated, Any, ClassVar, Literal

import pytest
from jsonschema import Draft202012Validator

from darktimer.document import Field, Section, parse_document, validate
from darktimer.document.fields import Before, Lengths, MadeBy
from darktimer.document.quantities import Duration, Words
from darktimer.document.schema import section_schema
from darktimer.errors import FileError, UnreadableError


def _shouted(raw: Any, _: object) -> str:
    if not isinstance(raw, str):
        raise UnreadableError("this is no word", "write a word")
    return raw.upper()


class Base(Section):
    misplaced_keys: ClassVar = {"weight": "only a stone has a weight"}

    name: Words | None = Field(None, description="what it is called")
    kept_for: Duration = 60_000


class Thing(Base):
    name: Words = Field(description="what it is called; here it must be said")
    side: Literal["left", "right"] = "left"
    loud: Annotated[str, MadeBy(_shouted, Words)] = "ABC"
    pieces: Annotated[
        tuple[Duration, ...],
        Lengths(1, 3),
        Before(lambda raw: [raw] if isinstance(raw, str) else raw, Duration),
    ] = (1000,)
    others: dict[str, Base] = Field(default_factory=dict)


def read(text: str) -> Thing:
    return validate(Thing, parse_document(text, Path("thing.yaml")))


def faults(text: str) -> list[str]:
    with pytest.raises(FileError) as raised:
        read(text)
    return [f"{f.line}:{f.column} {f.key}: {f.found}" for f in raised.value.faults]


def test_what_is_not_written_has_its_default() -> None:
    thing = read("name: a  stone\n")
    assert (thing.name, thing.kept_for, thing.side) == ("a stone", 60_000, "left")
    assert (thing.loud, thing.pieces, thing.others) == ("ABC", (1000,), {})


def test_keys_are_written_with_spaces_and_read_through_their_marks() -> None:
    thing = read("name: x\nkept for: 2 min\nloud: no\npieces: 3 s\nothers: {y: {kept for: 1 s}}\n")
    assert (thing.kept_for, thing.loud, thing.pieces) == (120_000, "NO", (3000,))
    assert thing.others["y"] == Base(kept_for=1000)


def test_every_fault_is_told_at_once_where_it_stands() -> None:
    others = "others:\n  y: {weight: 3}\n  z: [1]\n"
    assert faults(f"kept for: soon\nside: lfet\npieces: []\n{others}color: none\n") == [
        "1:1 : 'name' is missing",
        "1:11 kept for: 'soon' is not a duration",
        "2:7 side: found 'lfet'",
        "3:9 pieces: found a list",
        "5:7 others.y.weight: 'weight' does not belong here",
        "6:6 others.z: found a list",
        "7:1 color: 'color' is not known here",
    ]


def test_a_section_is_frozen_and_equal_by_what_it_holds() -> None:
    thing = Thing(name="x")
    with pytest.raises(AttributeError):
        thing.side = "right"
    assert thing == read("name: x\n")
    assert thing.changed(side="right") == read("name: x\nside: right\n")
    assert thing != thing.changed(side="right")


def test_an_editor_is_told_of_the_same_fields() -> None:
    schema = section_schema(Thing)
    Draft202012Validator.check_schema(schema)
    validator = Draft202012Validator(schema)
    assert schema["required"] == ["name"]
    assert validator.is_valid({"name": "x", "kept for": "2 min", "others": {"y": {}}})
    for bad in ({}, {"name": "x", "side": "lfet"}, {"name": "x", "others": {"y": {"z": "1"}}}):
        assert not validator.is_valid(bad), bad
