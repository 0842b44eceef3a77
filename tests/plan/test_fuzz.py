"""Whatever a file holds, it becomes a plan or a `DarktimerError` with readable lines."""

import runpy
from pathlib import Path

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from darktimer import shipped
from darktimer.errors import DarktimerError
from darktimer.plan.checks import warnings
from darktimer.plan.reader import read_plan_file
from darktimer.process.compiler import compile_plan

LENGTH_MS = runpy.run_path(str(Path(__file__).parents[1] / "golden" / "remake.py"))["length_ms"]
SHIPPED = [path.read_text(encoding="utf-8") for path in shipped.folder("sequences").glob("*.yaml")]
FRAGMENTS = st.sampled_from(
    [
        *(":", "- ", "[", "]", "{", "}", "&a", "*a", "!!int", "|", ">", "'", '"', "#", "---", "\t"),
        *("\n", "\n  ", "1/2", "0", "-1", "1e9", ".nan", "none", "no", "7:30", "48 h", "1 ms"),
        *(
            "agitation: ",
            "every: ",
            "at: ",
            "steps:",
            "repeat: 60",
            "light: open",
            "fix: ",
            "\ud7ff",
        ),
        *("inversions: 4", "shuffle each: 1 s", "reverse every: 3 s", "share: 99 %", "٣", "\x85"),
    ]
)
QUICK = settings(
    max_examples=250,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)


def ends_well(path: Path, raw: bytes) -> None:
    path.write_bytes(raw)
    try:
        file = read_plan_file(path)
        with file.blamed():
            compile_plan(file.plan, LENGTH_MS)
    except DarktimerError as error:
        lines = str(error).split("\n")
        assert all(line.startswith(str(path)) and "; " in line for line in lines)
        assert all(line.isprintable() for line in lines)
    else:
        doubtful = file.located(warnings(file.plan))
        assert all(warning.found and warning.remedy for warning in doubtful)


@st.composite
def mutated(draw: st.DrawFn) -> str:
    """A shipped plan with some stretches cut out and others put in."""
    text = draw(st.sampled_from(SHIPPED))
    for _ in range(draw(st.integers(1, 4))):
        start = draw(st.integers(0, len(text)))
        end = min(len(text), start + draw(st.integers(0, 12)))
        text = text[:start] + draw(FRAGMENTS | st.text(max_size=5)) + text[end:]
    return text


@st.composite
def with_lines_moved(draw: st.DrawFn) -> str:
    """A shipped plan with lines of another among its own."""
    lines = draw(st.sampled_from(SHIPPED)).splitlines(keepends=True)
    for line in draw(st.lists(st.sampled_from("".join(SHIPPED).splitlines(keepends=True)))):
        lines.insert(draw(st.integers(0, len(lines))), line)
    return "".join(lines)


@QUICK
@given(raw=st.binary() | st.text().map(lambda text: text.encode("utf-8", "replace")))
def test_any_bytes(tmp_path: Path, raw: bytes) -> None:
    ends_well(tmp_path / "plan.yaml", raw)


@QUICK
@given(text=mutated() | with_lines_moved())
def test_mutations_of_shipped_plans(tmp_path: Path, text: str) -> None:
    ends_well(tmp_path / "plan.yaml", text.encode("utf-8", "replace"))
