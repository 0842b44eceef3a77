"""What a step is, and which bath it is done in, has one answer from the plan to the journal."""

import json
from collections.abc import Iterator
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
import yaml
from hypothesis import assume, given
from hypothesis import strategies as st

from darktimer import shipped
from darktimer.errors import DarktimerError
from darktimer.journal.events import Event
from darktimer.journal.journal import Journal
from darktimer.journal.review import review
from darktimer.journal.start import about_to_start
from darktimer.paper.step_rows import rows
from darktimer.plan.baths import bath_key, bath_name
from darktimer.prepare.prepared import Prepared, prepare

EVENING = """\
title: A cool evening
about: Invented for tests; untested on film.
film: {format: 135-36, count: 2}
vessel: {kind: tub, light: open, volume: 1.2 l, size: 15 x 20 cm}
temperature: 24 C
room: 18 C
steps:
  - load: by hand
  - develop: 60 min
    name: Long develop
    time is for: 15 C
    adjust: for drift
    bath: nettle leaf developer
    agitation: 1/2
    note: keep the lid on
  - stop: 1 min
  - fix: 12 min
    bath: plain fixer
    clearing: 3 min
    light after: 10 min
  - wash: 5 min
    repeat: 3
"""


def written_as(prepared: Prepared) -> Iterator[tuple[int, str]]:
    """The index and kind of each step of the plan, as often as it is to be done."""
    for index, step in enumerate(prepared.plan.steps):
        for _ in range(step.repeat):
            yield index, step.kind


def carried_out(prepared: Prepared) -> Iterator[tuple[int, str]]:
    """The same, as the timeline has it; a step split by the light is one."""
    for step in prepared.timeline.steps:
        if step.source is not None and not step.name.endswith(", in the light"):
            yield step.source, step.kind


def journalled(prepared: Prepared, folder: Path) -> tuple[Journal, int]:
    """The journal of a run in which every step was begun."""
    journal = Journal.open(folder)
    start = about_to_start(prepared.file, "standard", prepared.timeline)
    number = journal.begin_run(start)
    for index, step in enumerate(prepared.timeline.steps):
        wall_ms = start.started.wall_utc_ms + step.start_ms
        begun = Event(step.start_ms, wall_ms, "step-begun", step=index, planned_ms=step.start_ms)
        journal.record(number, begun)
    return journal, number


def agree(prepared: Prepared, folder: Path) -> None:
    """Timeline, card, journal and review name the same step and the same bath, row by row."""
    assert list(carried_out(prepared)) == list(written_as(prepared))
    journal, number = journalled(prepared, folder)
    with journal:
        found, kept = review(journal, number), journal.run(number)
        assert journal.timeline(number) == prepared.timeline
    lines = {row.start_ms: row for row in rows(prepared.plan, prepared.timeline) if row.is_bath}
    line = None
    for step, seen, bath in zip(prepared.timeline.steps, found.steps, kept.baths, strict=True):
        expected = "" if step.source is None else bath_name(prepared.plan.steps[step.source])
        assert (seen.source, seen.bath, bath) == (step.source, expected, expected)
        line = lines.get(step.start_ms, line)
        if step.source is not None:
            assert line is not None
            assert line.source == step.source
            assert prepared.plan.steps[step.source].called in step.name
            assert line.start_ms <= step.start_ms < line.end_ms


CELSIUS = st.integers(14, 30).map("{} C".format)


@given(
    name=st.sampled_from(shipped.names("sequences")),
    bath=CELSIUS,
    room=st.integers(8, 35).map("{} C".format),
    time_is_for=CELSIUS,
    adjust=st.sampled_from(["for temperature", "for drift", ""]),
)
def test_every_shipped_plan_however_adjusted(
    name: str, bath: str, room: str, time_is_for: str, adjust: str
) -> None:
    text = (shipped.folder("sequences") / f"{name}.yaml").read_text("utf-8")
    content = yaml.load(text, yaml.BaseLoader)
    content |= {"temperature": bath, "room": room}
    for step in content["steps"]:
        if "develop" in step:
            step |= {"time is for": time_is_for} | ({"adjust": adjust} if adjust else {})
    with TemporaryDirectory() as folder:
        path = Path(folder) / "plan.yaml"
        path.write_text(json.dumps(content), "utf-8")
        try:
            prepared = prepare(str(path), "standard", None)
        except DarktimerError:  # too short for its agitation, or nothing tells how it drifts
            assume(False)
        agree(prepared, Path(folder))


@pytest.mark.parametrize("name", shipped.names("sequences"))
def test_every_shipped_plan_as_it_is(name: str, tmp_path: Path) -> None:
    agree(prepare(name, "standard", 7_000), tmp_path)


@pytest.fixture
def evening(tmp_path: Path) -> Prepared:
    path = tmp_path / "evening.yaml"
    path.write_text(EVENING)
    return prepare(str(path), "standard", None)


def test_a_develop_that_becomes_much_shorter(evening: Prepared, tmp_path: Path) -> None:
    develop = next(step for step in evening.timeline.steps if step.kind == "develop")
    assert develop.end_ms - develop.start_ms < 40 * 60_000
    agree(evening, tmp_path)


def test_film_is_counted_for_the_baths_that_it_went_through(
    evening: Prepared, tmp_path: Path
) -> None:
    """Names in a plan, on the sheet and in the journal may differ in case and gaps."""
    from darktimer.journal.baths import all_baths, begin_bath

    with Journal.open(tmp_path) as journal:
        for name in ("Plain  Fixer", "stop", "nettle-leaf developer", "another bath"):
            begin_bath(journal, name, 1_200, 0, None, 20.0)
    journal, number = journalled(evening, tmp_path)
    with journal:
        journal.finish_run(number, "finished", 0)
        used = {bath_key(bath.name): bath.used_m2 for bath in all_baths(journal)}
    through = 2 * 0.0516128  # two rolls of 80 square inches: a rule of the trade
    assert used == pytest.approx(
        {"plain-fixer": through, "stop": through, "nettle-leaf-developer": through}
        | {"another-bath": 0},
        rel=1e-6,
    )


def test_the_card_says_of_an_adjusted_step_what_the_plan_says(evening: Prepared) -> None:
    lines = {row.name: row for row in rows(evening.plan, evening.timeline)}
    assert lines["Long develop"].details[1:] == ("nettle leaf developer", "keep the lid on")
    assert lines["Fix"].details == ("moving all the time", "plain fixer")
    assert lines["Fix, in the light"].details == ("moving all the time", "plain fixer")
    assert (lines["Wash"].number, lines["Wash"].details) == (3, ("5:00 each",))
