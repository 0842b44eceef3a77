"""The schema for editors accepts what ships and refuses by shape what the checks refuse."""

from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from darktimer import shipped
from darktimer.document import read_document
from darktimer.plan.schema import plan_schema

BAD = Path(__file__).parents[1] / "bad_plans"
SCHEMA = plan_schema()
MISSHAPEN = [
    *("no-title", "no-steps", "everything-missing", "steps-as-a-word", "steps-as-a-block"),
    *("vessel-as-a-word", "vessel-without-light", "vessel-misspelt", "film-format-misspelt"),
    *("key-misspelt", "plan-key-misspelt", "habit-misspelt", "key-in-capitals"),
    *("key-with-underscore", "step-kind-misspelt", "step-of-two-kinds", "step-without-a-kind"),
    *("step-as-a-word", "step-as-a-list", "free-step-without-a-name", "clearing-outside-fix"),
    *("light-after-outside-fix", "clock-starts-misspelt", "drain-is-misread", "note-as-a-list"),
    *("time-as-a-block", "too-many-warnings", "too-many-steps", "agitation-misspelt"),
    *("agitation-as-a-list", "agitation-of-two-ways", "agitation-without-its-first-word"),
    *("duration-without-a-unit", "duration-negative", "duration-no", "duration-not-a-number"),
    *("temperature-without-a-unit", "repeat-a-half", "inversions-at-a-word", "only-a-list"),
    *("adjust-misspelt", "drift-without-a-time", "energy-without-its-unit", "size-of-one-side"),
    *("recipes-as-a-list", "time-is-for-a-fix"),
]


@pytest.fixture(scope="module")
def validator() -> Draft202012Validator:
    Draft202012Validator.check_schema(SCHEMA)
    return Draft202012Validator(SCHEMA)


def content(path: Path) -> Any:
    return read_document(path).content


@pytest.mark.parametrize("name", shipped.names("sequences"))
def test_shipped_plans_are_accepted(validator: Draft202012Validator, name: str) -> None:
    validator.validate(content(shipped.find("sequences", "plan", name)))


@pytest.mark.parametrize("name", MISSHAPEN)
def test_misshapen_plans_are_refused(validator: Draft202012Validator, name: str) -> None:
    assert not validator.is_valid(content(BAD / f"{name}.yaml"))


def test_bare_numbers_of_an_editor_are_accepted(validator: Draft202012Validator) -> None:
    develop = {"develop": "10 min", "agitation": 0.5, "repeat": 2, "countdown": 3}
    vessel = {"kind": "tub", "light": "closed"}
    plan: dict[str, Any] = {"title": "A test", "vessel": vessel, "steps": [develop]}
    validator.validate(plan)
    develop["repeat"] = 61
    assert not validator.is_valid(plan)


def test_everything_that_can_be_written_is_described() -> None:
    for name, definition in SCHEMA["$defs"].items():
        assert definition["additionalProperties"] is False, name
        assert "null" not in str(definition), name
