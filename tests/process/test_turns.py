"""Whatever asks for an act is told: every turn has its tick, every written moment is played.

Heard with the sounds of the cue sets that ship, the longest among them.
"""

from collections.abc import Callable, Iterator
from functools import cache
from itertools import pairwise
from typing import Any

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from darktimer import shipped
from darktimer.cues.reader import load_cue_set
from darktimer.errors import FileError, FindingsError
from darktimer.plan.agitation import Inversions
from darktimer.plan.checks import faults
from darktimer.plan.model import Plan
from darktimer.plan.reader import read_plan, read_plan_text
from darktimer.process.compiler import compile_plan
from darktimer.process.schemes import Body, _joined, moving
from darktimer.process.timeline import Timeline
from darktimer.units import duration_ms

SETS = shipped.names("sounds")
LONGEST = "without-highs"
Span = tuple[int, int]


@cache
def length_ms(cue_set: str) -> Callable[[str], int]:
    return load_cue_set(cue_set).length_ms


def carried_out(cue_set: str = "standard", **keys: Any) -> tuple[Plan, Timeline]:
    written = {"title": "A test", "vessel": {"kind": "spiral tank", "light": "closed"}, **keys}
    plan = Plan.read(written)
    if found := list(faults(plan)):
        raise FindingsError(found)
    return plan, compile_plan(plan, length_ms(cue_set))


def develop(time: str, agitation: dict[str, Any], **habits: Any) -> list[dict[str, Any]]:
    return [{"develop": time, "agitation": agitation, **habits}]


def bouts(timeline: Timeline) -> list[Span]:
    """Every bout of moving, whole where the light parts it."""
    joined: list[Span] = []
    for span in timeline.spans:
        if span.kind == "agitate" and joined and joined[-1][1] == span.start_ms:
            joined[-1] = (joined[-1][0], span.end_ms)
        elif span.kind == "agitate":
            joined.append((span.start_ms, span.end_ms))
    return joined


def told(timeline: Timeline, meaning: str, bout: Span) -> list[int]:
    """The moments of a meaning within a bout, from its start."""
    start, end = bout
    cues = (cue.at_ms for cue in timeline.cues if cue.meaning == meaning)
    return [at - start for at in cues if start <= at < end]


def asked(scheme: Inversions, opening_ms: int, bout: Span, first: bool) -> int:
    """How many turns a bout is to have; an opening has them at the pace of the others."""
    length, turns = bout[1] - bout[0], 0
    if first and opening_ms:
        opened = min(opening_ms, length)
        turns = max(1, min(opened * scheme.inversions // scheme.within, (opened - 1100) // 1400))
        length -= opened
    assert length % scheme.within == 0
    return turns + length // scheme.within * scheme.inversions


def every_turn_is_told(plan: Plan, timeline: Timeline) -> int:
    """How many bouts of turns there are, each with as many ticks as it is to have."""
    found = 0
    sources = [step for step in plan.steps for _ in range(step.repeat)]
    turned = [s for s in timeline.steps if s.kind in {step.kind for step in sources}]
    turned = [s for s in turned if not s.name.endswith(", in the light")]
    for place, (step, written) in enumerate(zip(turned, sources, strict=True)):
        scheme = plan.agitation(written)
        end_ms = turned[place + 1].start_ms if place + 1 < len(turned) else timeline.duration_ms
        if not isinstance(scheme, Inversions):
            continue
        here = [bout for bout in bouts(timeline) if step.start_ms <= bout[0] < end_ms]
        opening_ms = plan.habit(written, "opening")
        for number, bout in enumerate(here):
            ticks = told(timeline, "turn", bout)
            assert len(ticks) == asked(scheme, opening_ms, bout, first=number == 0)
            assert ticks[0] >= 1_000
        found += len(here)
        covered_ms = plan.habit(written, "transfer") if plan.clock_starts == "full" else 0
        for moment in scheme.at:
            at_ms = step.start_ms + covered_ms + moment
            assert any(a <= at_ms and at_ms + scheme.within <= b for a, b in here)
    return found


@pytest.mark.parametrize("cue_set", SETS)
@pytest.mark.parametrize("name", shipped.names("sequences"))
def test_every_turn_of_a_shipped_plan_is_told(name: str, cue_set: str) -> None:
    plan = read_plan(name).plan
    timeline = compile_plan(plan, length_ms(cue_set))
    assert not any("Not played" in note and "tick" in note for note in timeline.notes)
    every_turn_is_told(plan, timeline)


def seconds(least: int, most: int) -> st.SearchStrategy[str]:
    return st.integers(least, most).map("{} s".format)


@st.composite
def inversions(draw: st.DrawFn) -> dict[str, Any]:
    turns = draw(st.integers(1, 8))
    least_ms = 1_100 + 1_400 * turns
    within_ms = draw(
        st.sampled_from([least_ms, least_ms + 1, 20_000]) | st.integers(least_ms, 30_000)
    )
    scheme: dict[str, Any] = {"inversions": str(turns), "within": f"{within_ms} ms"}
    if draw(st.booleans()):
        scheme["every"] = f"{draw(st.integers(within_ms + 4_000, 120_000))} ms"
    else:
        apart = st.integers(within_ms + 4_000, 120_000)
        moments = [draw(st.integers(1, 60_000))]
        moments += [draw(apart) for _ in range(draw(st.integers(0, 3)))]
        scheme["at"] = [f"{sum(moments[: k + 1])} ms" for k in range(len(moments))]
    return scheme


HABITS = st.fixed_dictionaries(
    {},
    optional={
        "opening": st.just("none") | seconds(3, 120),
        "drain": st.just("none") | seconds(3, 30),
        "transfer": seconds(3, 20),
        "countdown": st.integers(0, 9).map(str),
        "tally": st.sampled_from(["none", "1 min"]),
        "heartbeat": st.just("none") | seconds(3, 60),
        "warnings": st.just("none") | st.lists(seconds(5, 90), max_size=3, unique=True),
    },
)
WAYS = st.fixed_dictionaries(
    {},
    optional={
        "clock starts": st.sampled_from(["full", "pour"]),
        "drain is": st.sampled_from(["inside", "after"]),
    },
)


@settings(max_examples=300, deadline=None)
@given(
    scheme=inversions(),
    time=st.integers(20, 600).map(lambda s: f"{s} s")
    | st.integers(20_000, 600_000).map("{} ms".format),
    habits=HABITS,
    ways=WAYS,
    cue_set=st.sampled_from(["standard", LONGEST]),
    light=st.integers(1, 20),
)
def test_every_turn_is_told_whatever_the_plan(
    scheme: dict[str, Any], time: str, habits: Any, ways: Any, cue_set: str, light: int
) -> None:
    fix = {"fix": time, "agitation": scheme, "light after": f"{light} s", **habits}
    tub = {"kind": "tub", "light": "open"}
    steps = [{"load": "by hand"}, *develop(time, scheme, **habits), fix]
    refusals: list[str] = []
    try:
        plan, timeline = carried_out(cue_set, vessel=tub, steps=steps, **ways)
    except FindingsError as error:
        refusals = [each.found for each in error.findings]
    assert not any("cannot be told" in each for each in refusals)
    assume(not refusals)
    every_turn_is_told(plan, timeline)
    assert not any("turns" in note and "Not played" in note for note in timeline.notes)


def test_four_turns_have_four_ticks_and_two_have_two() -> None:
    four = {"inversions": "4", "within": "10 s", "at": ["1 min"]}
    _, timeline = carried_out(steps=develop("2 min", four, opening="none"))
    assert [told(timeline, "turn", bout) for bout in bouts(timeline)] == [[1100, 3325, 5550, 7775]]
    plan = read_plan("small-tank-inversions").plan
    timeline = compile_plan(plan, length_ms("standard"))
    counts = [len(told(timeline, "turn", bout)) for bout in bouts(timeline)]
    # 30 s at two turns in 5 s, then two at each of nine minutes.
    assert counts == [12, *[2] * 9, 0, 0]


@pytest.mark.parametrize(
    ("turns", "within", "pips"),
    [
        ("4", "10 s", 3),
        ("4", "9700 ms", 3),
        ("4", "9699 ms", 2),
        ("3", "7 s", 1),
        ("2", "5 s", 1),
        ("2", "4 s", 0),
    ],
)
def test_turns_of_a_bout_that_ends_at_the_drain_make_room_for_the_countdown(
    turns: str, within: str, pips: int
) -> None:
    start_ms = 290_000 - duration_ms(within)
    scheme = {"inversions": turns, "within": within, "at": [f"{start_ms} ms"]}
    _, timeline = carried_out(steps=develop("5 min", scheme, opening="none"))
    (bout,) = bouts(timeline)
    length = bout[1] - bout[0]
    assert len(told(timeline, "turn", bout)) == int(turns)
    assert told(timeline, "pip", bout) == [length - 1000 * k for k in range(pips, 0, -1)]
    assert any(f"{3 - pips} second" in note for note in timeline.notes) == (pips < 3)


@pytest.mark.parametrize(
    ("ways", "first"),
    [
        ({"opening": "none"}, 0),
        ({"opening": "20 s"}, None),
        ({"opening": "none", "clock": "pour"}, 60),
    ],
)
def test_without_an_opening_the_first_turns_come_when_the_film_is_covered(
    ways: dict[str, str], first: int | None
) -> None:
    every = {"inversions": "4", "within": "10 s", "every": "1 min"}
    clock = {"clock starts": ways.pop("clock", "full")}
    _, timeline = carried_out(steps=develop("3 min", every, **ways), **clock)
    step = timeline.steps[1]
    clock_ms = step.start_ms + (0 if "pour" in clock.values() else 10_000)
    starts = [(start - clock_ms) / 1000 for start, _ in bouts(timeline)]
    assert starts == ([0, 60, 120] if first in (0, None) else [60, 120])
    assert len(told(timeline, "turn", bouts(timeline)[0])) == (8 if first is None else 4)


def refused(text: str, path: str = "plan.yaml") -> Iterator[tuple[str, str]]:
    from pathlib import Path

    file = read_plan_text(text, Path(path))
    with pytest.raises(FileError) as caught, file.blamed():
        compile_plan(file.plan, length_ms("standard"))
    return iter([(fault.key, fault.found) for fault in caught.value.faults])


TANK = "title: A test\nvessel: {kind: spiral tank, light: closed}\nsteps:\n"


def test_a_written_moment_that_cannot_be_played_is_refused_at_its_place() -> None:
    at = "agitation: {inversions: 4, within: 10 s, at: [20 s, 5 min, 9:50]}"
    assert list(refused(f"{TANK}  - develop: 10 min\n    {at}\n")) == [
        (
            "steps[1].agitation.at[1]",
            "turns at 0:20 come before the opening is over, at 0:30",
        ),
        (
            "steps[1].agitation.at[3]",
            "turns from 9:50 to 10:00 run into the drain, at 9:50",
        ),
    ]
    last = "agitation: {inversions: 4, within: 10 s, at: [20 s, 9:40]}"
    ((key, _),) = refused(f"{TANK}  - develop: 10 min\n    {last}\n")
    assert key == "steps[1].agitation.at[1]"
    ending = "agitation: {inversions: 4, at: [30 s, 9:41]}"
    ((key, _),) = refused(f"{TANK}  - develop: 10 min\n    {ending}\n")
    assert key == "steps[1].agitation.at[2]"
    poured = TANK.replace("steps:", "clock starts: pour\nsteps:")
    early = "opening: none\n    agitation: {inversions: 4, at: [5 s]}"
    assert list(refused(f"{poured}  - develop: 10 min\n    {early}\n")) == [
        (
            "steps[1].agitation.at[1]",
            "turns at 0:05 come before the film is covered, at 0:10",
        )
    ]


def test_a_habit_that_a_step_cannot_keep_is_refused_at_the_step() -> None:
    habits = "habits: {agitation: {inversions: 4, at: [1 min]}}\n"
    ((key, found),) = refused(TANK.replace("steps:", f"{habits}steps:") + "  - develop: 75 s\n")
    assert (key, found[:21]) == ("steps[1].develop", "turns from 1:00 to 1:10"[:21])


def test_bouts_that_touch_are_one_and_empty_ones_none() -> None:
    assert _joined([(0, 0), (1, 2), (4, 5), (5, 7), (7, 7), (8, 8)]) == [(1, 2), (4, 7)]


def test_an_opening_too_short_for_a_turn_is_refused() -> None:
    short = "opening: 2 s\n    agitation: {inversions: 4, every: 1 min}"
    assert list(refused(f"{TANK}  - develop: 10 min\n    {short}\n")) == [
        ("steps[1].opening", "an opening of 2 s has no room for a turn")
    ]
    every = Inversions.read({"inversions": "4", "every": "1 min"})
    body = Body(0, 600_000, 0, 590_000, 2_000, 0, 3_000)
    with pytest.raises(FindingsError, match=r"write at least 2\.5 s, or none"):
        moving(every, body)


@pytest.mark.parametrize(("opening", "ticks"), [("2500 ms", 1), ("6600 ms", 3), ("30 s", 19)])
def test_an_opening_has_as_many_turns_as_come_at_the_pace_of_a_bout(
    opening: str, ticks: int
) -> None:
    quick = {"inversions": "8", "within": "12300 ms", "at": ["1 min"]}
    _, timeline = carried_out(LONGEST, steps=develop("3 min", quick, opening=opening))
    assert [len(told(timeline, "turn", bout)) for bout in bouts(timeline)] == [ticks, 8]


def test_a_last_bout_without_room_is_noted() -> None:
    every = {"inversions": "4", "within": "10 s", "every": "1 min"}
    _, timeline = carried_out(steps=develop("5:15", every))
    note = "No room for a last bout of turns before the drain, in: Develop at 5:00."
    assert note in timeline.notes
    _, timeline = carried_out(steps=develop("310001 ms", every))  # 1 ms is no bout
    assert note in timeline.notes
    none = {"drain": "none"}
    for time, ways in (("5:20", {}), ("5:10", {}), ("5:10", none), ("5:00", none)):
        _, timeline = carried_out(steps=develop(time, every, **ways))
        assert not any("No room for a last" in note for note in timeline.notes)


TRAY: dict[str, Any] = {
    "vessel": {"kind": "tray", "light": "open"},
    "film": {"format": "4x5 in", "sheets": "6"},
    "habits": {"transfer": "10 s"},
}


def test_sheets_that_cannot_be_told_apart_are_refused() -> None:
    shuffle = {"shuffle each": "1 s"}
    with pytest.raises(FindingsError, match="ticks of sheets cannot sound clear") as caught:
        carried_out(steps=[{"load": "by hand"}, *develop("3 min", shuffle)], **TRAY)
    assert [each.path for each in caught.value.findings] == [("steps", 1, "develop")]


def test_who_shuffles_goes_on_while_light_safe_sounds() -> None:
    shuffle = {"agitation": {"shuffle each": "5 s"}}
    steps = [{"load": "by hand"}, {"fix": "4 min", **shuffle}, {"wash": "4 min", **shuffle}]
    _, timeline = carried_out(steps=steps, **TRAY)
    light = next(cue for cue in timeline.cues if cue.meaning == "light-safe")
    (act,) = [c for c in timeline.cues if c.at_ms == timeline.steps[3].start_ms + 60_000]
    assert light.at_ms == act.end_ms + 500
    hidden = [note for note in timeline.notes if "ticks of sheets" in note]
    assert hidden == [
        "Not played, so that more important cues stay clear: 2 ticks of sheets, in Wash."
    ]


@pytest.mark.parametrize(
    ("wash", "sheets", "pace", "after_ms"),
    [("45 s", 4, 10, 5_000), ("45 s", 6, 5, 15_000), ("90 s", 4, 10, 0)],
)
def test_light_safe_does_not_wait_for_sheets_that_change_washes(
    wash: str, sheets: int, pace: int, after_ms: int
) -> None:
    """Hands keep their pace with fixed film while it sounds, as when they shuffle.

    With all sheets in the first wash the light is safe, and so it sounds there, or in the second as
    soon as that is entered: not after the tenth, for want of 12 s between two sheets.
    """
    film = {"format": "4x5 in", "sheets": str(sheets)}
    steps = [{"load": "1 min"}, {"fix": "5 min"}, {"wash": wash, "repeat": "10", "drain": "3 s"}]
    habits = {"transfer": f"{pace} s"}
    _, timeline = carried_out(vessel=TRAY["vessel"], film=film, habits=habits, steps=steps)
    light = next(cue for cue in timeline.cues if cue.meaning == "light-safe")
    safe_ms = timeline.steps[3].start_ms + sheets * pace * 1_000
    (act,) = [cue for cue in timeline.cues if cue.at_ms == safe_ms + after_ms]
    assert light.at_ms == act.end_ms + 500
    acts = {"enter-wash", "stand", "lift"}
    assert not [
        c for c in timeline.cues if c.meaning in acts and light.at_ms <= c.at_ms < light.end_ms
    ]


def test_light_safe_waits_for_turns() -> None:
    """Safe at 1:02, within the bout at 1:00, it is told after it."""
    every = {"inversions": "4", "within": "10 s", "every": "1 min"}
    fix = {"fix": "5 min", "light after": "62 s", "agitation": every}
    tub = {"kind": "tub", "light": "open"}
    plan, timeline = carried_out(vessel=tub, steps=[{"load": "by hand"}, fix])
    light = next(cue for cue in timeline.cues if cue.meaning == "light-safe")
    (stand,) = [c for c in timeline.cues if c.at_ms == timeline.steps[2].start_ms + 75_000]
    assert light.at_ms == stand.end_ms + 500
    assert every_turn_is_told(plan, timeline) == 5


def test_the_other_way_round_is_told_unless_the_film_leaves_at_once() -> None:
    for time, last in (("2:10", 90), ("1:43", 90), ("102999 ms", 60), ("1:42", 60)):
        _, timeline = carried_out(steps=develop(time, {"reverse every": "30 s"}))
        (bout,) = bouts(timeline)
        turned = told(timeline, "reverse", bout)
        assert turned[-1] == last * 1000
        assert all(two - one == 30_000 for one, two in pairwise(turned))
        assert not any("turn round" in note for note in timeline.notes)
