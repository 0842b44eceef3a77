"""The base of everything that is read from a file, and the validation that gathers every fault.

A `Section` is a frozen pydantic model whose keys are written with spaces. Validation turns each
of pydantic's errors into a `Fault` with its place and mend. Knows nothing of plans.
"""

from collections.abc import Iterable
from difflib import get_close_matches
from typing import Any, ClassVar, TypeVar

from pydantic import (
    BaseModel,
    ConfigDict,
    ValidationError,
    ValidationInfo,
    model_validator,
)
from pydantic_core import ErrorDetails

from darktimer.document.reader import Document
from darktimer.errors import Fault, FileError, UnreadableError
from darktimer.units import shown


def _spaced(field_name: str) -> str:
    return field_name.replace("_", " ")


class Section(BaseModel):
    """A block of keys. Unknown keys are faults, each with the nearest known one.

    ``misplaced_keys`` gives reasons for keys that are known elsewhere but have no place here;
    ``example`` is such a block as it may be written, for somebody who wrote no block.
    """

    misplaced_keys: ClassVar[dict[str, str]] = {}
    example: ClassVar[str] = ""

    model_config = ConfigDict(
        frozen=True,
        extra="ignore",  # unknown keys are refused below, together with all other faults
        alias_generator=_spaced,
        validate_by_name=True,
        validate_by_alias=True,
        defer_build=True,
        json_schema_extra={"additionalProperties": False},
    )

    @classmethod
    def keys(cls) -> list[str]:
        """The keys that may be written in this block."""
        return [_spaced(name) for name in cls.model_fields]

    @model_validator(mode="before")
    @classmethod
    def _refuse_unknown_keys(cls, raw: Any, info: ValidationInfo) -> Any:
        if cls.example and isinstance(raw, str | list):
            found = f"{shown(raw)} stands here" if isinstance(raw, str) else "a list stands here"
            raise UnreadableError(found, f"write keys and values, such as {cls.example}")
        if isinstance(raw, dict) and isinstance(info.context, Document):
            path, known = info.context.path_of(raw), cls.keys()
            for key in raw.keys() - set(known):
                reason = cls.misplaced_keys.get(key)
                found = f"{shown(key)} {'does not belong' if reason else 'is not known'} here"
                mend = reason or one_of(key, known)
                info.context.faults.append(
                    info.context.fault((*path, key), found, mend, of_key=True)
                )
        return raw


SectionT = TypeVar("SectionT", bound=Section)


def one_of(found: str, allowed: Iterable[str]) -> str:
    """The mend for a word that is none of those allowed, with the nearest one first."""
    words = list(allowed)
    near = get_close_matches(found, words, n=1, cutoff=0.5)
    hint = f"did you mean {near[0]!r}? " if near else ""
    return f"{hint}allowed are {', '.join(words)}"


def validate(model: type[SectionT], document: Document) -> SectionT:
    """The document as ``model``; raises `FileError` with every fault of the file."""
    section: SectionT | None = None
    errors: list[ErrorDetails] = []
    try:
        section = model.model_validate(document.content, context=document)
    except ValidationError as error:
        errors = error.errors(include_url=False)
    errors = [error for error in errors if not _follows(error)]
    faults = [*document.faults, *(_fault(document, error) for error in errors)]
    if faults or section is None:
        raise FileError(document.source, list(dict.fromkeys(faults)))
    return section


def _follows(error: ErrorDetails) -> bool:
    """Whether a list is called too short only because of faults in its parts."""
    return error["type"] == "too_short" and len(error["input"]) >= error["ctx"]["min_length"]


def _fault(document: Document, error: ErrorDetails) -> Fault:
    path, kind = error["loc"], error["type"]
    if kind == "missing":
        mend = f"add a line {path[-1]}: ..."
        return document.fault(path[:-1], f"{path[-1]!r} is missing", mend)
    raised = error.get("ctx", {}).get("error")
    if isinstance(raised, UnreadableError):
        return document.fault(path, raised.found, raised.mend)
    return document.fault(path, _found(error), _mend(error))


def _found(error: ErrorDetails) -> str:
    value = error["input"]
    if isinstance(value, dict):
        return "a block of keys stands here"
    if isinstance(value, list):
        return "a list stands here"
    return f"{shown(str(value))} stands here" if value else "nothing is written"


def _mend(error: ErrorDetails) -> str:
    kind = error["type"]
    if kind == "literal_error":
        words = error["ctx"]["expected"].replace("'", "").replace(" or ", ", ").split(", ")
        return one_of(str(error["input"]), words)
    shapes = {
        "string_type": "write plain text",
        "model_type": "write keys and values, each on a line of its own",
        "dict_type": "write keys and values, each on a line of its own",
        "list_type": "write a list, a line beginning with - for each part",
        "tuple_type": "write a list, a line beginning with - for each part",
        "too_short": "write at least one part",
        "string_too_short": "write at least one character",
        "string_too_long": "write fewer words",
        "too_long": f"write at most {error.get('ctx', {}).get('max_length')} parts",
    }
    return shapes.get(kind, error["msg"].lower())
