"""What a person reads before, during and after: pages, pictures, lines, figures."""

import json
import re
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis.strategies import integers, lists, sampled_from
from rich.console import Console

from darktimer import shipped
from darktimer.live.awake import CANNOT
from darktimer.live.display import display_words
from darktimer.live.gates import Waits
from darktimer.pages import live_view as views
from darktimer.pages.briefing import missing, print_keys, print_last, print_plan
from darktimer.pages.closing import closing_json, exit_status, print_closing
from darktimer.pages.key_delays import Press, presses, print_presses
from darktimer.pages.lazy_view import LazyView
from darktimer.pages.pager import pages
from darktimer.prepare.prepared import prepare
from darktimer.process import meanings
from darktimer.terminal.large import large
from tests.live.plans import OPEN, OTHER, SPACE, cue_set, plan_of
from tests.live.studio import Studio


@pytest.fixture(params=[60, 80])
def width(request, monkeypatch) -> int:
    monkeypatch.setenv("COLUMNS", str(request.param))
    return int(request.param)


def test_the_first_page_has_the_baths_from_left_to_right_and_all_cautions(width, capsys):
    print_plan(prepare("open-tub-half-agitation", "standard", None))
    page = capsys.readouterr().out
    order = [page.index(word) for word in ("Soak ", "nettle leaf", "Rinse ", "Wash ")]
    assert order == sorted(order)
    assert re.search(r"^ *5  Wash x 10 ", page, re.MULTILINE), "as where am I is answered"
    assert "Cautions:" in page
    assert "local codes" in page
    assert max(map(len, page.splitlines())) <= width


@given(
    text=lists(sampled_from(["", "Head:", "  - " + "x" * 70, "    more", "path/" * 40])).map(
        "\n".join
    ),
    rows=integers(4, 30),
)
def test_pages_hold_every_line_in_order_and_each_fits_its_screen(text, rows):
    made = list(pages(text, 80, rows))
    told = [line for page in made for line in page.splitlines() if line]
    assert told == [line for line in text.splitlines() if line]
    for page in made:
        lines = page.splitlines()
        taken = sum(max(1, -(-len(line) // 80)) for line in lines)
        assert taken + 3 <= rows or len(lines) == 1


def test_a_page_ends_before_a_section_or_an_item():
    items = ["  - one", "    goes on", "  - two", "    goes on", "  - three"]
    text = "\n".join(["Title", "line", "", "Notes:", *items])
    first, second, third = pages(text, 80, 6), pages(text, 80, 7), pages(text, 80, 9)
    assert next(first) == "Title\nline"
    assert next(second) == "Title\nline"
    assert next(third).endswith("  - one\n    goes on")
    assert next(third).startswith("  - two")


def test_a_bath_that_is_used_twice_keeps_its_place(capsys):
    """The film that is exposed between lies in none."""
    print_plan(prepare("reversal-motion-picture", "standard", None))
    rows = capsys.readouterr().out.partition("left to right:")[2].partition("Cautions")[0]
    told = [row.split()[:2] for row in rows.splitlines() if re.match(r" *[\d-]", row)]
    assert [each for each in told if each[1] != "Rinse"] == [
        ["1", "Develop"], ["3", "Bleach"], ["4", "Clearing"], ["1", "Redevelop"], ["5", "Fix"],
        ["6", "Wash"],
    ]  # fmt: skip
    assert {number for number, name in told if name == "Rinse"} == {"2"}


def test_what_a_plan_leaves_unsaid_is_named():
    left_out = " ".join(missing(plan_of(OPEN)))
    assert "temperature" in left_out
    assert "Develop, Fix" in left_out


def test_the_last_page_says_what_the_keys_do_and_how_to_go_on_after_a_crash(width, capsys):
    print_keys()
    print_last(prepare("open-tub-half-agitation", "standard", None))
    page = " ".join(capsys.readouterr().out.split())
    for words in ("five times", "--resume", "brings it back", "0:30", "Light is safe at 28:50"):
        assert words in page


def finished(*presses) -> Studio:
    studio = Studio(dark=False)
    for at_ms, key in presses:
        studio.keys.press(at_ms, key)
    studio.until(10**7)
    return studio


def test_the_closing_page_has_planned_and_real_times(width, capsys):
    rinse = next(s for s in Studio().conductor.timeline.steps if s.kind == "rinse")
    ask = rinse.start_ms + 15_000
    studio = finished((ask, OTHER), (ask + 500, OTHER), (ask + 30_000, SPACE))
    print_closing(studio.session, 4, [])
    page = capsys.readouterr().out
    (line,) = [line for line in page.splitlines() if line.startswith("Rinse")]
    assert line.split() == ["Rinse", "0:40", "1:10", "+30", "s"]
    assert "add-result 4" in " ".join(page.split())
    assert "Rinse: went on 0:30 later than planned, held" in " ".join(page.split())
    assert exit_status(studio.session, []) == 0
    assert max(map(len, page.splitlines())) <= width


def test_faults_and_marks_are_on_the_closing_page_and_in_the_exit_status(capsys):
    studio = finished((80_000, SPACE))
    studio.session.fail("no more light")
    print_closing(studio.session, 0, ["the disk was full"])
    page = capsys.readouterr().out
    for words in (" no more light", "the disk was full", "1:20 Develop", "with faults"):
        assert words in page
    told = closing_json(studio.session, 0, [])
    assert told["exit"] == 3
    assert told["marks"] == [80_000]
    json.dumps(told)


def test_lateness_is_counted_from_the_act_or_from_the_gate():
    studio = Studio(waits=Waits.TRANSFERS, dark=False)
    gate = studio.conductor.state.time_map.stops_ms
    for at_ms in (gate + 2_000, gate + 4_000):
        studio.keys.press(at_ms, SPACE)
    studio.until(gate + 30_000)
    entered = next(c.at_ms for c in studio.conductor.state.cues if c.meaning == "enter-soak")
    studio.keys.press(entered + 30_000, SPACE)
    studio.until(entered + 31_000)
    loading, film_in = presses(studio.session)
    assert 4_000 <= loading.late_ms <= 4_500
    assert 25_000 <= film_in.late_ms <= 26_500, "five seconds are the plan's own for a transfer"


def test_film_loaded_in_less_than_the_time_allowed_is_early_not_late(capsys):
    pressed = [
        Press(39_000, "Load", "the wait", -166_600),
        Press(47_000, "Fix", "enter-fix", 4_300),
    ]
    print_presses(Studio().session, pressed)
    *_, load, fix = capsys.readouterr().out.splitlines()
    assert load.split() == ["0:39", "Load", "the", "wait", "166.6", "s", "early"]
    assert fix.split() == ["0:47", "Fix", "enter-fix", "4.3", "s"]


def test_a_picture_fits_and_tells_where_one_is(width, monkeypatch):
    out = Console(width=width, color_system=None, force_terminal=True, record=True)
    monkeypatch.setattr(views, "console", lambda: out)
    studio = Studio(dark=False)
    studio.until(72_000)
    picture = views.ScreenView(cue_set())
    picture(studio.session)
    picture(studio.session)
    picture.close()
    text = out.export_text()
    for words in ("Develop (4 of 9, in the dark)", "Keep it moving", "stop moving", "1:12 of"):
        assert words in text
    assert max(map(len, text.splitlines())) <= width


def test_a_view_that_fails_stops_no_sound(monkeypatch):
    class Broken:
        def __call__(self, session) -> None:
            raise UnicodeEncodeError("latin-1", "光", 0, 1, "no such letter")

        def close(self) -> None:
            raise OSError("no terminal")

    monkeypatch.setattr(views, "view", lambda *_: Broken())
    studio = Studio(dark=False)
    with LazyView(cue_set(), silent=False) as watch:
        studio.session.run(watch)
    assert studio.session.now().at_ms > studio.conductor.state.end_ms
    (trouble,) = studio.session.troubles
    assert "nothing more could be shown" in trouble[1]


def test_what_follows_a_key_is_shown_before_it_is_pressed():
    studio = Studio(waits=Waits.LOADING, dark=False)
    studio.until(studio.conductor.state.time_map.stops_ms - 1_000)
    loading = views.Scene(studio.session, cue_set()).coming()
    assert loading[0] == ("then", "go on to the next step: soak")
    studio.until(studio.conductor.state.time_map.stops_ms + 30_000)
    assert views.Scene(studio.session, cue_set()).coming() == loading


def test_nothing_follows_a_run_that_was_ended_early():
    studio = Studio(waits=Waits.LOADING, dark=False)
    for at_ms in range(10_000, 11_000, 200):
        studio.keys.press(at_ms, OTHER)
    for at_ms in range(15_000, 16_000, 200):
        studio.keys.press(at_ms, OTHER)
    studio.until(17_500)
    assert studio.conductor.state.aborted_ms
    assert not [
        when for when, _ in views.Scene(studio.session, cue_set()).coming() if when == "then"
    ]


def test_lines_tell_each_sound_once_and_what_is_waited_for():
    studio, told = Studio(waits=Waits.LOADING, dark=False), []
    lines = views.LineView(cue_set(), told.append)
    while studio.tape.position_ms() < 60_000:
        studio.session.tick()
        lines(studio.session)
    dark = "left: the dark begins with this sound (lights-out)"
    assert sum(line.endswith(dark) for line in told) == 1
    assert any("hear the question" in line for line in told)
    assert not any(f"({meanings.PIP})" in line for line in told)


def test_figures_are_five_lines_of_one_length():
    for time in ("0:00", "12:34", "1:05:59", "6789"):
        rows = large(time)
        assert len(rows) == 5
        assert len({len(row) for row in rows}) == 1


#: What a display that cannot be switched off, and a machine that may fall asleep, add at most.
OF_THE_MACHINE = [CANNOT, display_words()]
README = Path(__file__).parents[2] / "README.md"


@pytest.mark.parametrize("name", shipped.names("sequences"))
def test_three_screens_before_the_dark(name, capsys, monkeypatch):
    """Plan and cautions; then keys and trial, and below them how the dark ends."""
    monkeypatch.setenv("COLUMNS", "80")
    prepared = prepare(name, "standard", None)
    print_plan(prepared, OF_THE_MACHINE)
    assert len(list(pages(capsys.readouterr().out, 80, 24))) <= 2
    print_keys()
    print_last(prepared)
    assert len(capsys.readouterr().out.splitlines()) + 2 <= 24


def test_the_plan_of_the_readme_takes_no_page_more(capsys, monkeypatch, tmp_path):
    """Its note fills the first page, so what is of the machine goes with the cautions."""
    monkeypatch.setenv("COLUMNS", "80")
    plan = tmp_path / "evening.yaml"
    text = README.read_text(encoding="utf-8")
    plan.write_text(text.split("```yaml\n")[1].split("```")[0], encoding="utf-8")
    print_plan(prepare(str(plan), "standard", None), OF_THE_MACHINE)
    assert len(list(pages(capsys.readouterr().out, 80, 24))) == 2


@pytest.mark.parametrize("name", shipped.names("sequences"))
def test_before_the_dark_each_caution_is_said_once(name, capsys):
    prepared = prepare(name, "standard", None)
    print_plan(prepared)
    print_keys()
    print_last(prepared)
    page = " ".join(capsys.readouterr().out.replace("  - ", "").split())
    for caution in prepared.cautions():
        assert page.count(caution) == 1
    assert page.count("can wake a sleeping display") == 1


def test_a_screen_counts_down_to_the_next_piece():
    """The develop begins at 55 s and is covered at 60 s; piece 1 goes in a minute later."""
    pieces = "pieces: {times: [1 min, 2 min], in: one by one}"
    text = OPEN.replace("    agitation: 1/2", f"    agitation: 1/2\n    {pieces}")
    studio, told = Studio(text, dark=False), []
    lines = views.LineView(cue_set(), told.append)
    while studio.tape.position_ms() < 130_000:
        studio.session.tick()
        lines(studio.session)
    of_develop = [line for line in told if " Develop, " in line]
    until = [" until piece 1: " in line for line in of_develop]
    assert until == sorted(until, reverse=True)
    assert any(until)
    assert not all(until)
    assert any("the next piece: 1" in line for line in of_develop)
