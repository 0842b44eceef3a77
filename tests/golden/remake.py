"""Remakes the expected timeline of every shipped plan: ``python tests/golden/remake.py``.

Read the differences before you commit them. The sounds have lengths that stand in for those of a
cue set, so that these files change with plans and compiler only.
"""

import json
from collections.abc import Iterator
from pathlib import Path

from darktimer import shipped
from darktimer.plan.reader import read_plan
from darktimer.process import meanings
from darktimer.process.compiler import compile_plan
from darktimer.process.timeline import Timeline

HERE = Path(__file__).parent

_LENGTHS_MS = {
    "enter": 2_300,
    meanings.MOVE: 600,
    meanings.STAND: 600,
    meanings.LIFT: 1_000,
    meanings.TURN: 900,
    meanings.LIGHTS_OUT: 1_500,
    meanings.LIGHT_SAFE: 10_000,
    meanings.END: 2_000,
}


def length_ms(meaning: str) -> int:
    """A stand-in for the length of a meaning's sound."""
    family = meanings.family(meaning)
    if family == "tally":
        return 500 + 250 * int(meaning.rpartition("-")[2])
    return _LENGTHS_MS.get(family, 300)


def timeline(name: str) -> Timeline:
    """The timeline of a shipped plan with stand-in lengths."""
    file = read_plan(name)
    with file.blamed():
        return compile_plan(file.plan, length_ms)


def written(timeline: Timeline) -> str:
    """A timeline as JSON with one step, span or cue a line, so that differences read well."""
    return "{\n" + ",\n".join(_parts(timeline)) + "\n}\n"


def _parts(timeline: Timeline) -> Iterator[str]:
    for key, value in timeline.as_json().items():
        if isinstance(value, list):
            lines = ",\n".join(f"  {json.dumps(each)}" for each in value)
            yield f'"{key}": [\n{lines}\n]'
        else:
            yield f'"{key}": {json.dumps(value)}'


def remake() -> None:
    """Writes the golden file of every shipped plan."""
    for name in shipped.names("sequences"):
        (HERE / f"{name}.json").write_text(written(timeline(name)), encoding="utf-8")


if __name__ == "__main__":
    remake()
