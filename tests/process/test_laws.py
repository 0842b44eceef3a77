"""What holds for the timeline of every plan that is accepted, whatever is written in it."""

from collections.abc import Callable
from fractions import Fraction
from itertools import pairwise
from typing import Any

from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from darktimer.errors import DarktimerError
from darktimer.process.timeline import Cue, Step, Timeline
from darktimer.units import duration_ms

Compiled = Callable[..., Timeline]


def seconds(least: int, most: int) -> st.SearchStrategy[str]:
    return st.integers(least, most).map("{} s".format)


def choices(**optional: st.SearchStrategy[Any]) -> st.SearchStrategy[dict[str, Any]]:
    return st.fixed_dictionaries({}, optional=optional).map(
        lambda keys: {key.replace("_", " "): value for key, value in keys.items()}
    )


def fractions(of: int) -> st.SearchStrategy[str]:
    parts = st.tuples(st.integers(1, of), st.integers(1, of)).map(sorted)
    return parts.map(lambda parts: f"{parts[0]}/{parts[1]}")


WHOLE_FILM = st.one_of(
    st.sampled_from(["continuous", "stand", "none"]),
    fractions(of=9),
    st.fixed_dictionaries(
        {"share": st.integers(1, 100).map("{} %".format)}, optional={"cycle": seconds(10, 200)}
    ),
    st.fixed_dictionaries(
        {
            "inversions": st.integers(1, 6).map(str),
            "within": seconds(7, 20),
            "every": seconds(10, 200),
        }
    ),
    st.fixed_dictionaries({"reverse every": seconds(2, 60)}),
)
SHEETS = st.one_of(
    st.sampled_from(["continuous", "stand", "none", "1/2"]),
    st.fixed_dictionaries(
        {"shuffle each": seconds(2, 10)}, optional={"rounds": st.integers(1, 9).map(str)}
    ),
)


def habits(agitation: st.SearchStrategy[Any]) -> dict[str, st.SearchStrategy[Any]]:
    return {
        "agitation": agitation,
        "opening": st.just("none") | seconds(1, 90),
        "drain": st.just("none") | seconds(3, 30),
        "transfer": seconds(3, 20),
        "warnings": st.lists(seconds(5, 90), max_size=3, unique=True) | st.just("none"),
        "countdown": st.integers(0, 9).map(str),
        "tally": st.sampled_from(["none", "1 min", "2 min"]),
        "heartbeat": st.just("none") | seconds(3, 60),
    }


def steps(agitation: st.SearchStrategy[Any]) -> st.SearchStrategy[list[dict[str, Any]]]:
    kinds = st.sampled_from(["soak", "develop", "rinse", "stop", "fix", "wash aid", "wash", "wet"])
    step = st.builds(
        lambda kind, time, repeat, keys: {kind: time, "repeat": repeat, **keys},
        kinds,
        seconds(20, 1500),
        st.integers(1, 3).map(str),
        choices(**habits(agitation)),
    ).map(lambda step: step if "develop" not in step else {"agitation": "stand", **step})
    return st.lists(step, min_size=1, max_size=4).map(lambda rest: [{"load": "by hand"}, *rest])


CONVENTIONS = choices(
    clock_starts=st.sampled_from(["full", "pour"]), drain_is=st.sampled_from(["inside", "after"])
)
LIGHT = st.sampled_from(["open", "closed"])


def positives(
    baths: list[dict[str, Any]],
    between: list[str],
    after: list[dict[str, Any]],
    light: str,
    habit: dict[str, Any],
) -> dict[str, Any]:
    """Plans with a bleach and a second exposure somewhere in them, most of them accepted."""
    develop = {"develop": "5 min", "agitation": "stand"}
    fix = [{"fix": "4 min"}]
    middle = [{"rinse": time} for time in between]
    steps = [{"load": "by hand"}, develop, *baths, *middle, *after, develop, *fix]
    return {"vessel": {"kind": "tub", "light": light}, "habits": habit, "steps": steps}


BLEACH = st.builds(
    lambda time, least, repeat: {"bleach": time, "least": least, "repeat": repeat},
    seconds(60, 600),
    seconds(30, 600),
    st.integers(1, 3).map(str),
)
CLEAR = st.builds(lambda time: {"clearing bath": time}, seconds(30, 300))
EXPOSE = st.builds(
    lambda time, transfer: {"expose": time, "transfer": transfer}, seconds(5, 300), seconds(5, 40)
)
FIXED = st.builds(lambda time: {"fix": time}, seconds(60, 300))
POSITIVES = st.builds(
    positives,
    st.lists(BLEACH | FIXED, max_size=3),
    st.lists(seconds(30, 120), max_size=3),
    st.lists(CLEAR | EXPOSE | FIXED, max_size=3),
    LIGHT,
    choices(**habits(WHOLE_FILM)),
)
ROLLS = st.builds(
    lambda light, ways, habit, steps: {
        "vessel": {"kind": "tub", "light": light},
        **ways,
        "habits": habit,
        "steps": steps,
    },
    LIGHT,
    CONVENTIONS,
    choices(**habits(WHOLE_FILM)),
    steps(WHOLE_FILM),
)
TRAYS = st.builds(
    lambda sheets, habit, steps: {
        "film": {"format": "4x5 in", "sheets": str(sheets)},
        "vessel": {"kind": "tray", "light": "open"},
        "habits": habit,
        "steps": steps,
    },
    st.integers(1, 7),
    choices(**habits(SHEETS)),
    steps(SHEETS),
)
QUICK = settings(
    max_examples=150,
    deadline=None,
    suppress_health_check=[HealthCheck.filter_too_much, HealthCheck.too_slow],
)


def accepted(compiled: Compiled, plan: dict[str, Any]) -> Timeline:
    try:
        return compiled(**plan)
    except DarktimerError:
        assume(False)
        raise AssertionError("never reached") from None


@QUICK
@given(plan=ROLLS | TRAYS | POSITIVES)
def test_timeline_keeps_its_laws(compiled: Compiled, plan: dict[str, Any]) -> None:
    timeline = accepted(compiled, plan)
    tiles(timeline)
    cues_apart(timeline)
    cues_in_the_steps_they_are_heard_in(timeline)
    acts_on_their_moments(timeline)
    light_only_when_safe(timeline, plan)


def tiles(timeline: Timeline) -> None:
    assert timeline.steps[0].start_ms == 0
    assert timeline.steps[-1].end_ms == timeline.duration_ms
    assert all(a.end_ms == b.start_ms for a, b in pairwise(timeline.steps))
    for index, step in enumerate(timeline.steps):
        spans = [span for span in timeline.spans if span.step == index]
        assert (spans[0].start_ms, spans[-1].end_ms) == (step.start_ms, step.end_ms)
        assert all(a.end_ms == b.start_ms for a, b in pairwise(spans))
        assert all(span.end_ms > span.start_ms for span in spans)
    assert list(timeline.spans) == sorted(timeline.spans, key=lambda span: span.start_ms)


def cues_apart(timeline: Timeline) -> None:
    """Half a second lies between any two."""
    for one, two in pairwise(timeline.cues):
        assert one.at_ms + one.length_ms + 500 <= two.at_ms
    assert all(cue.at_ms + cue.length_ms <= timeline.duration_ms for cue in timeline.cues)


def cues_in_the_steps_they_are_heard_in(timeline: Timeline) -> None:
    for cue in timeline.cues:
        assert timeline.steps[cue.step].start_ms <= cue.at_ms < timeline.steps[cue.step].end_ms


def acts_on_their_moments(timeline: Timeline) -> None:
    cues = {(cue.at_ms, cue.meaning) for cue in timeline.cues}
    calls = {"agitate": "move", "stand": "stand", "drain": "lift"}
    # Where the light parts a span, only the first part begins something.
    parted = {step.start_ms for step in timeline.steps if step.name.endswith(", in the light")}
    for span in timeline.spans:
        if span.kind in calls and span.start_ms not in parted:
            assert (span.start_ms, calls[span.kind]) in cues
    for step in timeline.steps[2:-1]:
        if step.kind not in ("ready", "done") and step.start_ms not in parted:
            assert (step.start_ms, "enter") in cues


#: Else the plan pauses for light-safe: as long as `lights on` lasts where nothing is written.
LONGEST_WAIT_MS = 30_000


def light_only_when_safe(timeline: Timeline, plan: dict[str, Any]) -> None:
    told = [cue.at_ms for cue in timeline.cues if cue.meaning == "light-safe"]
    dark = [step for step in timeline.steps if step.dark]
    assert all(at >= step.end_ms for at in told for step in dark)
    makes_safe = plan["vessel"]["light"] == "closed" or any("fix" in s for s in plan["steps"])
    assert len(told) == makes_safe
    if told and plan["vessel"]["light"] == "open":
        assert told[0] <= dark[-1].end_ms + LONGEST_WAIT_MS
    assert dark[0].kind == "load"
    if not makes_safe:
        assert timeline.steps[-1].dark


@settings(QUICK, max_examples=300)
@given(plan=POSITIVES)
def test_film_meets_light_only_once_it_is_fixed_or_bleached_and_rinsed(
    compiled: Compiled, plan: dict[str, Any]
) -> None:
    """In an open vessel from light-safe on; in a closed one when it is opened to be exposed."""
    timeline = accepted(compiled, plan)
    exposed = [step.start_ms for step in timeline.steps if step.kind == "expose"]
    told = [cue.at_ms for cue in timeline.cues if cue.meaning == "light-safe"]
    lit = [*exposed, *(told if plan["vessel"]["light"] == "open" else [])]
    for at_ms in lit:
        before = [step for step in timeline.steps if step.end_ms <= at_ms]
        assert any(step.kind == "fix" for step in before) or bleached_and_rinsed(before, plan)
    develops = [step.start_ms for step in timeline.steps if step.kind == "develop"]
    assert all(at_ms < min(lit) or (exposed and exposed[0] < at_ms) for at_ms in develops if lit)
    halves = [cue.at_ms for cue in timeline.cues if cue.meaning == "reverse"]
    for index, step in enumerate(timeline.steps):
        if step.kind == "expose":
            (lying,) = [s for s in timeline.spans if s.step == index and s.kind == "stand"]
            assert any(0 <= at - (lying.start_ms + lying.end_ms) // 2 <= 1000 for at in halves)
            assert all(cue.end_ms <= lying.start_ms for cue in timeline.cues if is_safe(cue))


def is_safe(cue: Cue) -> bool:
    return cue.meaning == "light-safe"


def bleached_and_rinsed(before: list[Step], plan: dict[str, Any]) -> bool:
    """Whether each bleach among these steps had its least time, and water has followed the last."""
    bleaches = [step for step in before if step.kind == "bleach"]
    least_ms = {source: duration_ms(plan["steps"][source]["least"]) for source in sources(bleaches)}
    for source, least in least_ms.items():
        assert sum(s.end_ms - s.start_ms for s in bleaches if s.source == source) >= least
    return bool(bleaches) and any(
        step.kind == "rinse" and step.start_ms >= bleaches[-1].end_ms for step in before
    )


def sources(steps: list[Step]) -> list[int]:
    return sorted({step.source for step in steps if step.source is not None})


SHARES = fractions(of=24) | st.integers(1, 100).map("{} %".format)


@settings(QUICK, max_examples=300)
@given(
    time=st.integers(20_000, 3_600_000),
    share=SHARES,
    cycle=seconds(5, 300),
    opening=st.just("none") | seconds(1, 120),
    drain=st.just("none") | seconds(3, 60),
    ways=CONVENTIONS,
)
def test_share_of_time_is_exact_to_the_millisecond(
    compiled: Compiled,
    time: int,
    share: str,
    cycle: str,
    opening: str,
    drain: str,
    ways: dict[str, str],
) -> None:
    develop = {
        "develop": f"{time} ms",
        "opening": opening,
        "drain": drain,
        "agitation": {"share": share, "cycle": cycle},
    }
    timeline = accepted(compiled, {**ways, "steps": [develop]})
    tiles(timeline)
    moving = sum(s.end_ms - s.start_ms for s in timeline.spans if s.kind == "agitate")
    part = Fraction(share.removesuffix(" %")) / (100 if "%" in share else 1)
    assert moving == round(time * part)


@settings(QUICK, max_examples=300)
@given(
    time=st.integers(120_000, 10_800_000),
    share=st.sampled_from(["1/4", "1/3", "1/2", "2/3", "3/4"]),
    cycle=st.integers(45, 120),
    opening=st.sampled_from(["none", "10 s", "30 s"]),
)
def test_a_share_leaves_no_crumb_at_the_end(
    compiled: Compiled, time: int, share: str, cycle: int, opening: str
) -> None:
    """Whatever the time, where the share leaves either of moving and standing 10 s in a cycle."""
    agitation = {"share": share, "cycle": f"{cycle} s"}
    develop = {"develop": f"{time} ms", "opening": opening, "agitation": agitation}
    timeline = compiled(steps=[develop])
    tiles(timeline)
    spans = [s for s in timeline.spans if s.kind in ("agitate", "stand")]
    assert min(span.end_ms - span.start_ms for span in spans) >= 3_000
    moving = sum(s.end_ms - s.start_ms for s in spans if s.kind == "agitate")
    assert moving == round(time * Fraction(share))


@QUICK
@given(plan=TRAYS)
def test_each_sheet_has_the_same_time_in_each_bath(
    compiled: Compiled, plan: dict[str, Any]
) -> None:
    """From its own tick in one bath to its own tick in the next; light-safe may hide fixed ones."""
    timeline = accepted(compiled, plan)
    sheets = int(plan["film"]["sheets"])
    baths = [
        step
        for step in timeline.steps[2:]
        if not step.name.endswith(", in the light") and step.kind != "ready"
    ]
    wished = [each for s in plan["steps"][1:] for each in [s] * int(s["repeat"])]
    each = duration_ms(plan["habits"].get("transfer", "5 s"))
    safe = [cue for cue in timeline.cues if cue.meaning == "light-safe"]
    sheet_cues = {cue.at_ms for cue in timeline.cues if cue.meaning == "sheet"}
    for bath, following, step in zip(baths, baths[1:], wished, strict=False):
        time = next(duration_ms(value) for key, value in step.items() if key == bath.kind)
        for k in range(1, sheets):
            for due in (bath.start_ms + k * each, following.start_ms + k * each):
                hidden = any(c.at_ms - 2_500 < due < c.end_ms for c in safe)
                assert due in sheet_cues or hidden
        lasts_ms = following.start_ms - bath.start_ms
        pauses = (p for p in timeline.steps if p.kind == "ready")
        inside = (p for p in pauses if bath.start_ms < p.start_ms < following.start_ms)
        assert lasts_ms == time + sum(p.end_ms - p.start_ms for p in inside)
