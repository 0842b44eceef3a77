"""The list of steps: repeats told once, the light where it belongs."""

from darktimer.paper.timeline_picture import picture

from . import plans


def names(plan: str) -> list[str]:
    return [row.name + row.times for row in plans.shown(plan).rows]


def test_the_list_of_a_shipped_plan() -> None:
    assert names("open-tub-half-agitation") == [
        "Get ready",
        "Lights out",
        "Load",
        "Soak",
        "Develop",
        "Rinse",
        "Fix",
        "Light is safe",
        "Wash × 10",
        "Done",
    ]


def test_repeats_keep_the_time_of_each() -> None:
    wash = next(row for row in plans.shown("open-tub-half-agitation").rows if row.kind == "wash")
    assert (wash.number, wash.time_ms, wash.details[0]) == (10, 120_000, "2:00 each")
    assert wash.end_ms - wash.start_ms == 10 * 125_000  # five seconds of transfer before each


def test_light_is_told_where_it_is_safe_and_not_where_its_sound_has_room() -> None:
    shown = plans.shown("open-tub-half-agitation")
    dark = [step for step in shown.timeline.steps if step.dark]
    safe = next(row for row in shown.rows if row.name == "Light is safe")
    assert safe.start_ms == dark[-1].end_ms
    assert not safe.dark
    assert safe.details == ("its cue comes at 28:56.1",)


def test_a_step_in_two_lights_is_two_lines_with_the_light_between() -> None:
    assert names("over and over")[-5:] == [
        "Fix",
        "Light is safe",
        "Fix, in the light",
        "Wash × 12",
        "Done",
    ]


def test_steps_that_only_look_alike_are_not_told_as_one() -> None:
    assert names("over and over").count("Bath A") == 10
    assert len(names("sixty")) == 60 + 4


def test_light_in_the_middle_stands_where_it_comes() -> None:
    assert names("reversal-motion-picture")[5:12] == [
        "Bleach",
        "Rinse × 4",
        "Light is safe",
        "Clearing",
        "Rinse",
        "Expose",
        "Redevelop",
    ]


def test_a_closed_vessel_has_a_line_for_when_it_may_be_opened() -> None:
    told = names("reversed in a tank")
    assert told.index("Light is safe") < told.index("Develop") < told.index("Bleach")
    assert told[told.index("May be opened") - 1 :][:3] == ["Rinse", "May be opened", "Expose"]


def test_no_light_in_a_plan_that_is_never_dark() -> None:
    assert names("one") == ["Get ready", "Develop", "Done"]


def test_sheets_are_done_when_the_last_has_left() -> None:
    done = plans.shown("tray-six-sheets").rows[-1]
    left = [s for s in plans.shown("tray-six-sheets").timeline.spans if s.kind == "transfer"][-1]
    assert (done.name, done.start_ms) == ("Done", left.end_ms)
    assert done.details == ("the first sheet leaves at 43:30",)
    assert plans.shown("open-tub-half-agitation").rows[-1].details == ()


def test_a_wash_says_whether_its_water_runs_and_shares_say_their_cycle() -> None:
    wash, develop = (
        next(row for row in plans.shown("long-stand").rows if row.kind == "wash"),
        next(row for row in plans.shown("open-tub-half-agitation").rows if row.kind == "develop"),
    )
    assert wash.details == ("running water",)
    assert develop.details[0] == "moving 7:30 of it, in cycles of 1 min"


def pieces(plan: str) -> list[tuple[str, int, int | None, str]]:
    rows = [row for row in plans.shown(plan).rows if row.kind == "piece"]
    return [(row.name, row.start_ms, row.time_ms, row.details[0]) for row in rows]


def test_each_piece_has_a_line_at_the_moment_at_which_it_goes_in() -> None:
    """The first at the develop's own beginning, 8:35; the others 3, 5 and 7 minutes later."""
    assert pieces("pieces-in-one-by-one") == [
        ("Piece 4 in", 515_000, 780_000, "4 notches"),
        ("Piece 3 in", 695_000, 600_000, "3 notches"),
        ("Piece 2 in", 815_000, 480_000, "2 notches"),
        ("Piece 1 in", 935_000, 360_000, "1 notch"),
    ]
    found = names("pieces-in-one-by-one")
    assert found[found.index("Develop") + 1] == "Piece 4 in"


def test_each_piece_has_a_line_at_the_moment_at_which_it_is_lifted() -> None:
    """10 s before its time is over: 6:40, 8:40, 10:40 and 13:00 after 7:40."""
    assert pieces("pieces-out-one-by-one") == [
        ("Piece 1 out", 850_000, 400_000, "1 notch"),
        ("Piece 2 out", 970_000, 520_000, "2 notches"),
        ("Piece 3 out", 1_090_000, 640_000, "3 notches"),
        ("Piece 4 out", 1_230_000, 780_000, "4 notches"),
    ]


def test_a_piece_that_is_left_alone_has_a_line_from_when_it_is() -> None:
    """After half a minute of opening; the develop's film is covered at 6:40."""
    assert pieces("pieces-moved-and-standing") == [
        ("Piece 1 moves", 395_000, None, "1 notch"),
        ("Piece 2 stands", 430_000, None, "2 notches"),
    ]


def test_the_time_of_a_piece_is_not_taken_for_its_moment_in_the_picture() -> None:
    """Piece 4 goes in long before 21:13."""
    shown = plans.shown("ladder-for-an-unknown-time")
    drawn = picture(shown.timeline, shown.rows).written("svg", "a timeline").decode()
    assert "Piece 4 in (21:13)" in drawn
