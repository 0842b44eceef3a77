"""The schema for editors accepts what ships and refuses by shape what the checks refuse."""

import json
import re
import shutil
import subprocess
from collections.abc import Iterator
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
    *("recipes-as-a-list", "time-is-for-a-fix", "film-and-films", "films-as-a-block"),
    *("films-as-film", "no-films-in-the-list", "exposed-at-a-word", "stock-empty"),
    "stock-as-a-list",
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


def described(schema: Any) -> Iterator[dict[str, Any]]:
    """Every part of a schema that has a pattern."""
    if isinstance(schema, dict) and isinstance(schema.get("pattern"), str):
        yield schema
    for part in schema.values() if isinstance(schema, dict) else schema:
        if isinstance(part, dict | list):
            yield from described(part)


PATTERNS = sorted({each["pattern"] for each in described(SCHEMA)})

#: One piece of a pattern as ECMA-262 reads it in unicode mode (section 22.2.1, Patterns), the mode
#: that JSON Schema 2020-12 asks for (Core, 6.4): there an escape that means nothing, a lone bracket
#: or brace is a syntax error. Back references and properties are left out; no pattern needs them.
_ESCAPE = r"\\(?:[dDsSwWbBtnvfr0^$\\.*+?()\[\]{}|/]|c[A-Za-z]|x[0-9A-Fa-f]{2}|u[0-9A-Fa-f]{4})"
_CLASS = rf"\[\^?(?:{_ESCAPE}|\\-|[^\]\\])*\]"
_ATOM = rf"{_ESCAPE}|{_CLASS}|[^\\()\[\]{{}}*+?|^$]"
_OPENING = r"\((?:\?(?:[:=!]|<[=!]|<[A-Za-z_$][\w$]*>))?(?!\?)"
_QUANTIFIER = r"(?:[*+?]|\{\d+(?:,\d*)?\})\??"
_PIECE = re.compile(rf"(?:{_OPENING}|[|^$]|(?:{_ATOM}|\))(?:{_QUANTIFIER})?)")


def is_ecma(pattern: str) -> bool:
    """Whether a pattern holds nothing but what ECMA-262 knows in unicode mode."""
    at = 0
    while piece := _PIECE.match(pattern, at):
        at = piece.end()
    return at == len(pattern) and pattern.count("(") == pattern.count(")")


@pytest.mark.parametrize(
    "foreign",
    [
        r"(?x)a",
        r"\Aa",
        r"a\Z",
        "a++",
        "a*+",
        "(?P<n>a)",
        "(?>a)",
        r"[\"']",
        r"\'",
        "a{",
        "]",
        "(?#no)a",
    ],
)
def test_what_only_python_reads_is_told_from_what_editors_read(foreign: str) -> None:
    assert not is_ecma(foreign)


@pytest.mark.parametrize("pattern", PATTERNS)
def test_patterns_are_regular_expressions_of_the_dialect_of_schemas(pattern: str) -> None:
    assert is_ecma(pattern)


def test_patterns_accept_their_examples() -> None:
    for each in described(SCHEMA):
        assert all(re.search(each["pattern"], example) for example in each["examples"]), each


@pytest.mark.skipif(not shutil.which("node"), reason="needs node, which knows the dialect")
def test_an_engine_of_the_dialect_reads_every_pattern() -> None:
    """Each is made in unicode mode, and finds each of its examples."""
    tried = "for (const s of JSON.parse(process.argv[1])) { const p = new RegExp(s.pattern, 'u');"
    tried += " if (!s.examples.every(e => p.test(e))) throw s.pattern }"
    parts = json.dumps(list(described(SCHEMA)))
    subprocess.run(["node", "-e", tried, parts], check=True, timeout=60)
