"""The base of everything that is read from a file, and the validation that gathers every fault.

A `Section` is a frozen block whose keys are written with spaces, validated by pydantic's core.
Each of its errors becomes a `Fault` with its place and remedy. Knows nothing of plans.
"""

from collections.abc import Iterable, Mapping
from typing import Any, ClassVar, NoReturn, Self, TypeVar, get_origin

from pydantic_core import CoreSchema, ErrorDetails, SchemaValidator, ValidationError, core_schema

from darktimer.document.fields import REQUIRED, Declared, declared, field_schema, found
from darktimer.document.reader import Document
from darktimer.errors import Fault, FileError, UnreadableError, did_you_mean
from darktimer.units import shown

_BY_NAME_OR_KEY = core_schema.CoreConfig(validate_by_name=True, validate_by_alias=True)


class Section:
    """A block of keys. Unknown keys are faults, each with the nearest known one.

    ``misplaced_keys`` gives reasons for keys that are known elsewhere but have no place here;
    ``example`` is such a block as it may be written, for somebody who wrote no block;
    ``other_keys`` says that keys of no business of this class stand in the block too.
    """

    misplaced_keys: ClassVar[dict[str, str]] = {}
    example: ClassVar[str] = ""
    other_keys: ClassVar[bool] = False
    _fields: ClassVar[dict[str, Declared]] = {}
    _validator: ClassVar[SchemaValidator]

    __pydantic_fields_set__: set[str]
    # What pydantic's core fills in when it has validated a block.
    __slots__ = (
        "__dict__",
        "__pydantic_extra__",
        "__pydantic_fields_set__",
        "__pydantic_private__",
    )

    def __init_subclass__(cls) -> None:
        own = {
            name: declared(name, annotation, vars(cls).get(name, REQUIRED))
            for name, annotation in cls.__annotations__.items()
            if ClassVar not in (annotation, get_origin(annotation))
        }
        cls._fields = {**cls._fields, **own}

    def __init__(self, **values: Any) -> None:
        self._validating().validate_python(values, self_instance=self)

    def __eq__(self, other: object) -> bool:
        return type(self) is type(other) and vars(self) == vars(other)

    def __repr__(self) -> str:
        written = ", ".join(f"{name}={value!r}" for name, value in vars(self).items())
        return f"{type(self).__name__}({written})"

    def __setattr__(self, name: str, value: Any) -> NoReturn:
        raise AttributeError(f"{type(self).__name__} is frozen")

    @classmethod
    def fields(cls) -> list[Declared]:
        """The fields of this class, those of its bases first."""
        return list(cls._fields.values())

    @classmethod
    def keys(cls) -> list[str]:
        """The keys that may be written in this block."""
        return [field.key for field in cls.fields()]

    @classmethod
    def validation(cls) -> CoreSchema:
        """What validates such a block."""
        fields = {field.name: field_schema(field) for field in cls.fields()}
        block = core_schema.model_fields_schema(fields, model_name=cls.__name__)
        looked_at = core_schema.with_info_before_validator_function(cls._look_at, block)
        return core_schema.model_schema(cls, looked_at, config=_BY_NAME_OR_KEY)

    @classmethod
    def read(cls, raw: Any, document: Document | None = None) -> Self:
        """The block ``raw``; raises pydantic's error, and adds what is unknown to ``document``."""
        section: Self = cls._validating().validate_python(raw, context=document)
        return section

    def changed(self, **values: Any) -> Self:
        """This block with other ``values``, by the names of its fields."""
        return type(self)(**{**vars(self), **values})

    @classmethod
    def _validating(cls) -> SchemaValidator:
        """Made when it is first asked for, since most plans write few of the kinds there are."""
        if "_validator" not in vars(cls):
            cls._validator = SchemaValidator(cls.validation())
        return cls._validator

    @classmethod
    def _look_at(cls, raw: Any, info: core_schema.ValidationInfo[Any]) -> Any:
        if cls.example and isinstance(raw, str | list):
            raise UnreadableError(found(raw), f"write keys and values, such as {cls.example}")
        if isinstance(raw, dict) and isinstance(info.context, Document) and not cls.other_keys:
            cls._refuse_unknown_keys(raw, info.context)
        return raw

    @classmethod
    def _refuse_unknown_keys(cls, raw: dict[str, Any], document: Document) -> None:
        path, keys = document.path_of(raw), cls.keys()
        for key in raw.keys() - set(keys):
            reason = cls.misplaced_keys.get(key)
            what = f"{shown(key)} {'does not belong' if reason else 'is not known'} here"
            remedy = reason or one_of(key, keys)
            document.faults.append(document.fault((*path, key), what, remedy, of_key=True))


SectionT = TypeVar("SectionT", bound=Section)


def one_of(found: str, allowed: Iterable[str]) -> str:
    """The remedy for a word that is none of those allowed, with the nearest one first."""
    words = list(allowed)
    return f"{did_you_mean(found, words, cutoff=0.5)}allowed are {', '.join(words)}"


def read_by_kind(
    raw: dict[str, Any], kinds: Mapping[str, type[Section]], document: Document | None, what: str
) -> Any:
    """The block ``raw`` as the kind that one of its keys tells; None where no key does."""
    named = [key for key in raw if key in kinds]
    if len(named) > 1:
        raise UnreadableError(f"{what} is both {' and '.join(named)}", "write one of them")
    return kinds[named[0]].read(raw, document) if named else None


def validate(model: type[SectionT], document: Document) -> SectionT:
    """The document as ``model``; raises `FileError` with every fault of the file."""
    section: SectionT | None = None
    errors: list[ErrorDetails] = []
    try:
        section = model.read(document.content, document)
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
        remedy = f"add a line {path[-1]}: ..."
        return document.fault(path[:-1], f"{path[-1]!r} is missing", remedy)
    raised = error.get("ctx", {}).get("error")
    if isinstance(raised, UnreadableError):
        return document.fault(path, raised.found, raised.remedy)
    return document.fault(path, found(error["input"]), _remedy(error))


def _remedy(error: ErrorDetails) -> str:
    kind = error["type"]
    if kind == "literal_error":
        words = error["ctx"]["expected"].replace("'", "").replace(" or ", ", ").split(", ")
        return one_of(str(error["input"]), words)
    keys = "write keys and values, each on a line of its own"
    shapes = {
        "string_type": "write plain text",
        "model_type": keys,
        "dict_type": keys,
        "tuple_type": "write a list, a line beginning with - for each part",
        "too_short": "write at least one part",
        "too_long": _too_long(error),
    }
    return shapes.get(kind, error["msg"].lower())


def _too_long(error: ErrorDetails) -> str:
    context = error.get("ctx", {})
    return f"it has {context.get('actual_length')} parts; write at most {context.get('max_length')}"
