"""What the fields of a section are declared with, and what validates them.

A field's type may carry, in `Annotated`, how its text is read and how an editor is told of it.
Here such a type becomes a schema of pydantic's core, which does the validating; pydantic's classes
are left out, since making them takes longer than reading a plan.
"""

from collections.abc import Callable, Mapping
from functools import reduce
from types import NoneType, UnionType
from typing import Annotated, Any, Final, Literal, NamedTuple, Union, cast, get_args, get_origin

from pydantic_core import CoreSchema, core_schema

from darktimer.errors import UnreadableError
from darktimer.units import shown

UNIONS = (UnionType, Union)


#: The default of what must be written.
REQUIRED: Final[Any] = object()


class Declared(NamedTuple):
    """What a class says of one of its fields; its name and type are filled in from the class.

    ``written`` is its key in a file where that is not its name.
    """

    default: Any = REQUIRED
    default_factory: Callable[[], Any] | None = None
    description: str = ""
    written: str = ""
    name: str = ""
    annotation: Any = None

    @property
    def required(self) -> bool:
        """Whether it must be written."""
        return self.default is REQUIRED and self.default_factory is None

    @property
    def key(self) -> str:
        """The field's name as it is written in a file."""
        return self.written or self.name.replace("_", " ")


def Field(  # noqa: N802 (it declares, as a class would)
    default: Any = REQUIRED,
    *,
    default_factory: Callable[[], Any] | None = None,
    description: str = "",
    written: str = "",
) -> Any:
    """A field of a section: what holds where it is not written, and what it is for."""
    return Declared(default, default_factory, description, written)


def declared(name: str, annotation: Any, default: Any) -> Declared:
    """A field whose class gives it a `Field`, a default alone, or nothing, which is `REQUIRED`."""
    field = default if isinstance(default, Declared) else Declared(default)
    return field._replace(name=name, annotation=annotation)


def found(raw: Any) -> str:
    """What a fault says that it found: text, a list, a block, or nothing."""
    if isinstance(raw, dict | list):
        return f"found a {'list' if isinstance(raw, list) else 'block of keys'}"
    return f"found {shown(str(raw))}" if str(raw).strip() else "nothing is written"


class Described:
    """JSON Schema in place of what would be made from the type; a type's marks are hashed."""

    def __init__(self, schema: Mapping[str, Any]) -> None:
        self.schema = schema


class Lengths(NamedTuple):
    """How many parts a list may have."""

    least: int = 0
    most: int = 10_000


class ReadBy(NamedTuple):
    """Text is read by ``read``; what is already a value, in a program, passes."""

    read: Callable[[str], Any]


class Before(NamedTuple):
    """What is written goes through ``change`` before it is read; ``written_as`` is for editors."""

    change: Callable[[Any], Any]
    written_as: Any


class MadeBy(NamedTuple):
    """``read`` makes the value from all that is written and the validation's context."""

    read: Callable[[Any, Any], Any]
    written_as: Any


def field_schema(field: Declared) -> core_schema.ModelField:
    """What validates ``field`` within its section."""
    schema = schema_of(field.annotation)
    if field.default_factory:
        schema = core_schema.with_default_schema(schema, default_factory=field.default_factory)
    elif not field.required:
        schema = core_schema.with_default_schema(schema, default=field.default)
    return core_schema.model_field(schema, validation_alias=field.key)


def schema_of(annotation: Any) -> CoreSchema:
    """What validates a value of the type ``annotation``."""
    origin, parts = get_origin(annotation), get_args(annotation)
    if origin is Annotated:
        return _marked(*parts)
    if origin in UNIONS:
        return _optional(parts)
    if origin is Literal:
        return core_schema.literal_schema(list(parts))
    if origin is tuple:
        return core_schema.tuple_schema([schema_of(parts[0])], variadic_item_index=0)
    if origin is dict:
        return core_schema.dict_schema(schema_of(parts[0]), schema_of(parts[1]))
    if annotation is str:
        return core_schema.str_schema()
    schema: CoreSchema = annotation.validation()
    return schema


def _optional(parts: tuple[Any, ...]) -> CoreSchema:
    (one,) = (part for part in parts if part is not NoneType)
    return core_schema.nullable_schema(schema_of(one))


def _marked(base: Any, *marks: Any) -> CoreSchema:
    """A type with its marks: one that makes the value by itself leaves the type unlooked at."""
    for mark in marks:
        if isinstance(mark, ReadBy):
            return core_schema.no_info_plain_validator_function(_reading(mark.read))
        if isinstance(mark, MadeBy):
            return core_schema.with_info_plain_validator_function(_making(mark.read))
    return reduce(_with, marks, schema_of(base))


def _with(schema: CoreSchema, mark: Any) -> CoreSchema:
    if isinstance(mark, Before):
        return core_schema.no_info_before_validator_function(mark.change, schema)
    if isinstance(mark, Lengths):
        return cast(CoreSchema, {**schema, "min_length": mark.least, "max_length": mark.most})
    return schema


def _making(read: Callable[[Any, Any], Any]) -> Callable[[Any, Any], Any]:
    return lambda raw, info: read(raw, info.context)


def _reading(read: Callable[[str], Any]) -> Callable[[Any], Any]:
    """Reads text by ``read``; what is no text at all is a fault that says so."""

    def reading(raw: Any) -> Any:
        if isinstance(raw, str):
            return read(raw)
        if isinstance(raw, dict | list):
            raise UnreadableError(found(raw), "write plain text")
        return raw

    return reading
