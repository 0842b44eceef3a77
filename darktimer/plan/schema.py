"""The JSON Schema of plans, for editors that help while a plan is written.

Made from the same classes that read a plan. It knows shapes and words; whether the parts agree is
for the checks alone.
"""

from typing import Any

from darktimer.document.schema import section_schema
from darktimer.plan.model import Plan


def plan_schema() -> dict[str, Any]:
    """The schema of a plan as it is written, in the 2020-12 draft of JSON Schema."""
    return {
        **section_schema(Plan),
        "not": {"required": ["film", "films"]},
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "A darktimer plan",
        "description": "How a film is to be processed: film, vessel, habits, and the steps.",
    }
