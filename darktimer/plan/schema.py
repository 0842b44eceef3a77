"""The JSON Schema of plans, for editors that help while a plan is written.

Made from the same classes that read a plan. It knows shapes and words: which keys belong where,
what is missing, what a quantity looks like. Whether the parts agree is for the checks alone.
"""

from typing import Any

from darktimer.plan.model import Plan


def plan_schema() -> dict[str, Any]:
    """The schema of a plan as it is written, in the 2020-12 draft of JSON Schema."""
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        **_as_written(Plan.model_json_schema()),
        "title": "A darktimer plan",
        "description": "How a film is to be processed: film, vessel, habits, and the steps.",
    }


def _as_written(schema: dict[str, Any]) -> dict[str, Any]:
    """The schema without what only a program could write: nulls, and defaults that are not text."""
    named = ("properties", "$defs")
    kept = {
        key: {name: _as_written(each) for name, each in value.items()}
        if key in named
        else _part(value)
        for key, value in schema.items()
        if key != "title" and (key != "default" or isinstance(value, str))
    }
    choices = [each for each in kept.pop("anyOf", []) if each != {"type": "null"}]
    if len(choices) == 1:
        return {**choices[0], **kept}
    return {**kept, "anyOf": choices} if choices else kept


def _part(value: Any) -> Any:
    if isinstance(value, list):
        return [_part(each) for each in value]
    return _as_written(value) if isinstance(value, dict) else value
