"""The JSON Schema of a section, made from the same declarations that its validation is made from.

It tells an editor what may be written: which keys belong where, what is missing, what a quantity
looks like. What a program could write besides, such as None, is left out.
"""

from types import NoneType
from typing import Annotated, Any, Literal, get_args, get_origin

from darktimer.document.fields import UNIONS, Before, Declared, Described, Lengths, MadeBy
from darktimer.document.section import Section

Schema = dict[str, Any]


def section_schema(section: type[Section]) -> Schema:
    """The schema of ``section`` as it is written; other sections in it stand under ``$defs``."""
    definitions: dict[str, Schema] = {}
    schema = _block(section, definitions)
    return {**schema, "$defs": definitions}


def _block(section: type[Section], definitions: dict[str, Schema]) -> Schema:
    return {
        "type": "object",
        "description": " ".join((section.__doc__ or "").split()),
        "properties": {each.key: _field(each, definitions) for each in section.fields()},
        "required": [each.key for each in section.fields() if each.required],
        "additionalProperties": False,
    }


def _field(field: Declared, definitions: dict[str, Schema]) -> Schema:
    schema = _value(field.annotation, definitions)
    if field.description:
        schema = {**schema, "description": field.description}
    return {**schema, "default": field.default} if isinstance(field.default, str) else schema


def _value(annotation: Any, definitions: dict[str, Schema]) -> Schema:
    origin, parts = get_origin(annotation), get_args(annotation)
    if origin is Annotated:
        return _marked(parts[0], parts[1:], definitions)
    if origin in UNIONS:
        return _any_of([part for part in parts if part is not NoneType], definitions)
    if origin is Literal:
        return {"type": "string", "enum": list(parts)}
    if origin in (tuple, list):
        return {"type": "array", "items": _value(parts[0], definitions)}
    if origin is dict:
        return {"type": "object", "additionalProperties": _value(parts[1], definitions)}
    return {"type": "string"} if annotation is str else _reference(annotation, definitions)


def _marked(base: Any, marks: tuple[Any, ...], definitions: dict[str, Schema]) -> Schema:
    for mark in reversed(marks):
        if isinstance(mark, Described):
            return dict(mark.schema)
        if isinstance(mark, Before | MadeBy):
            return _value(mark.written_as, definitions)
    schema = _value(base, definitions)
    for mark in marks:
        if isinstance(mark, Lengths):
            schema |= {"minItems": mark.least, "maxItems": mark.most}
    return schema


def _any_of(parts: list[Any], definitions: dict[str, Schema]) -> Schema:
    choices = [_value(part, definitions) for part in parts]
    return choices[0] if len(choices) == 1 else {"anyOf": choices}


def _reference(section: type[Section], definitions: dict[str, Schema]) -> Schema:
    name = section.__name__
    if name not in definitions:
        definitions[name] = {}
        definitions[name] = _block(section, definitions)
    return {"$ref": f"#/$defs/{name}"}
