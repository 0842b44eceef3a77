"""How often a stretch is heard, and by what is known of its room and of the loudest cue."""

from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from darktimer.cues.reader import load_cue_set
from darktimer.ear import hearing
from darktimer.ear.bands import bands_of
from darktimer.ear.hearing import Ear
from darktimer.ear.search import Candidate

STANDARD = load_cue_set("standard")
CUE = Candidate(100.0, 200.0, 1, 1500.0, 0.9, whole=True)
FAINT = CUE._replace(energy=990.0)
LATER = CUE._replace(start=300.0)
MOST = np.ones(1)


class Heard:
    """An ear to which tones are only what they were made by: a response and the loudest cue."""

    def __init__(self, patch: pytest.MonkeyPatch, kept: float, chosen: list[Any]) -> None:
        self.hearings: list[tuple[Any, Any]] = []
        self.learnt = 0
        self.loud = 500.0
        self.ear = Ear(STANDARD, bands_of(STANDARD, 16_000))
        patch.setattr(hearing, "tones_in", self._tones_in)
        patch.setattr(hearing, "learnt", self._learnt)
        patch.setattr(hearing, "kept", lambda *_: kept)
        patch.setattr(self.ear, "_chosen", lambda tones: self._chosen(tones, chosen))
        patch.setattr(self.ear, "_most", lambda *_: None)

    def _tones_in(self, held: Any, bands: Any, response: Any = None, most: Any = None) -> Any:
        return SimpleNamespace(
            power=held, noise=held, strongest=np.array([self.loud]), by=(response, most)
        )

    def _chosen(self, tones: Any, chosen: list[Any]) -> list[Candidate]:
        self.hearings.append(tones.by)
        return chosen[min(len(self.hearings), len(chosen)) - 1]

    def _learnt(self, *_: Any) -> int:
        self.learnt += 1
        return self.learnt

    def stretch(self) -> list[tuple[Any, Any]]:
        """By what a stretch was heard, each time."""
        self.hearings.clear()
        self.ear._settled(np.ones((1, 10), np.float32))
        return list(self.hearings)


def test_a_room_that_rings_is_heard_twice_more_at_most(monkeypatch: pytest.MonkeyPatch) -> None:
    heard = Heard(monkeypatch, 0.25, [[CUE], [LATER], [CUE], [LATER]])
    assert heard.stretch() == [(None, None), (1, None), (2, None)]


def test_and_no_more_where_nothing_changes(monkeypatch: pytest.MonkeyPatch) -> None:
    heard = Heard(monkeypatch, 0.25, [[CUE], [CUE._replace(start=102.0)]])
    assert heard.stretch() == [(None, None), (1, None)]


def test_a_stretch_is_first_heard_by_what_the_last_one_told(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    heard = Heard(monkeypatch, 0.25, [[CUE]])
    heard.stretch()
    monkeypatch.setattr(heard.ear, "_most", lambda *_: MOST)
    assert heard.stretch() == [(1, None), (1, MOST), (2, MOST)]


def test_where_nothing_rings_no_room_is_taken_out(monkeypatch: pytest.MonkeyPatch) -> None:
    heard = Heard(monkeypatch, 0.25, [[CUE]])
    heard.stretch()
    monkeypatch.setattr(hearing, "kept", lambda *_: 0.15)
    heard.loud = 1e6
    assert heard.stretch() == [(None, None)]
    monkeypatch.setattr(hearing, "kept", lambda *_: 0.25)
    assert heard.stretch()[0] == (1, None)  # what was known is kept


@pytest.mark.parametrize("cues", [[], [FAINT]])
def test_of_no_cue_or_a_faint_one_no_room_is_learnt(
    monkeypatch: pytest.MonkeyPatch, cues: list[Candidate]
) -> None:
    chosen = [[CUE]]
    heard = Heard(monkeypatch, 0.25, chosen)
    heard.stretch()
    chosen[:] = [cues]
    heard.loud = 0.0
    assert heard.stretch() == heard.stretch() == [(1, None)]  # what was known is kept
    assert heard.learnt == 1


@pytest.mark.parametrize("kept", [0.15, 0.25])
def test_a_faint_cue_far_softer_than_its_notes_were_counts_for_less(
    monkeypatch: pytest.MonkeyPatch, kept: float
) -> None:
    """But where much is left that no cue explains, nobody knows how loud they are."""
    heard = Heard(monkeypatch, kept, [[CUE]])
    explained = CUE.energy * heard.ear._words.variance
    gains = np.ones(heard.ear._bands.shapes.shape)
    monkeypatch.setattr(heard.ear, "_gains", lambda *_: gains)
    silence = np.zeros((gains.shape[1], 300))

    def counted(cue: Candidate = FAINT) -> float:
        tones: Any = SimpleNamespace(power=silence, noise=silence)
        return heard.ear._doubted(cue, tones).energy

    heard.loud = 1.3 * explained
    heard.stretch()
    assert counted() == FAINT.energy
    heard.loud = 0.9 * explained
    heard.stretch()
    assert counted() == 0.6 * FAINT.energy
    assert counted(CUE) == CUE.energy
    gains = 3 * gains
    heard.stretch()
    assert (heard.ear._usual == 2).all()  # the mean of what it was and is
    gains = 0 * gains
    heard.stretch()
    assert (heard.ear._usual == 2).all()  # what is not heard is as it was


def test_what_no_cue_explains_is_no_room(monkeypatch: pytest.MonkeyPatch) -> None:
    """Beside music a light-safe was 0.2 s early by what the minute before had told of its room."""
    heard = Heard(monkeypatch, 0.25, [[CUE]])
    explained = CUE.energy * heard.ear._words.variance
    heard.loud = 0.9 * explained
    heard.stretch()
    heard.loud = 1.3 * explained
    assert heard.stretch()[0] == (1, None)
    assert heard.stretch()[0] == (None, None)
