"""The sounds on a card: those that the plan uses, and drawn as long as they are."""

import pytest
from matplotlib.patches import Rectangle

from darktimer.cues.reader import load_cue_set
from darktimer.paper.drawn_cues import DrawnCue, DrawnCues, draw_cues
from darktimer.paper.page import Box, Page
from darktimer.process import meanings

from . import plans


def says(name: str) -> list[str]:
    return [sound.says for sound in plans.shown(name).sounds.plain]


@pytest.mark.parametrize("name", plans.NAMES)
def test_every_sound_of_the_plan_and_no_other(name: str) -> None:
    shown, cue_set = plans.shown(name), load_cue_set("standard")
    used = {cue.meaning for cue in shown.timeline.cues}
    counted = tuple(cue_set.counts[each].says for each in ("tally", "piece"))
    plain = {m for m in used if not m.startswith(("enter-", "tally-", "piece-"))}
    told = [says for says in says(name) if not says.startswith(counted)]
    assert sorted(told) == sorted(cue_set.says(meaning) for meaning in plain)
    entered = {m.removeprefix("enter-") for m in used if m.startswith("enter-")}
    assert {bath.says for bath in shown.sounds.baths} == entered


def test_a_count_is_told_by_an_example() -> None:
    assert "minutes gone in this step: 5" in says("open-tub-half-agitation")
    numbers = [each for each in says("ladder-for-an-unknown-time") if "piece" in each]
    assert numbers == ["the next piece: 4"]  # a group of three and one more
    assert "minutes gone in this step: 10" in says("open-tub-half-agitation")
    assert sum(words.startswith("minutes gone") for words in says("day")) == 1


def test_pulses_are_drawn_to_scale_and_higher_for_a_higher_note() -> None:
    cue_set = load_cue_set("standard")
    sound = DrawnCue("rising", cue_set.pulses(meanings.LIFT))
    page = Page(500, 300)
    draw_cues(page, Box(0, 0, 500, 0), DrawnCues((sound,), None, (), "rule"), 9)
    drawn = [
        artist
        for artist in page.figure.artists
        if isinstance(artist, Rectangle) and artist.get_gid() == "pulse"
    ]
    short, _, long = sound.pulses
    assert len(drawn) == 3
    assert drawn[2].get_width() / drawn[0].get_width() == pytest.approx(
        long.length_ms / short.length_ms
    )
    rest = drawn[2].get_x() - drawn[0].get_x()
    assert rest / drawn[0].get_width() == pytest.approx(long.at_ms / short.length_ms)
    assert drawn[2].get_y() < drawn[0].get_y()  # points count from the top


@pytest.mark.parametrize("name", plans.SHIPPED)
def test_the_sounds_are_told_in_one_size(name: str) -> None:
    sounds = plans.shown(name).sounds
    says = {sound.says for sound in (*sounds.plain, *filter(None, [sounds.enter]))}
    told = [text for text, _ in plans.page_texts(name, "A4") if text.get_text() in says]
    assert len(told) == len(says)
    assert len({text.get_fontsize() for text in told}) == 1
