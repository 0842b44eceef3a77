"""Cues held as columns are the cues that went in, and weigh little."""

import tracemalloc

from hypothesis import given
from hypothesis import strategies as st

from darktimer.process.columns import CueColumns
from darktimer.process.timeline import Cue

CUES = st.lists(
    st.builds(
        Cue,
        at_ms=st.integers(0, 10**9),
        length_ms=st.integers(0, 10**5),
        meaning=st.sampled_from(["move", "stand", "tick", "end"]),
        step=st.integers(0, 500),
    )
)


@given(CUES, st.slices(20))
def test_columns_hold_the_same_cues_in_the_same_order(cues: list[Cue], part: slice) -> None:
    columns = CueColumns(cues)
    assert list(columns) == cues
    assert [columns[place] for place in range(len(columns))] == cues
    assert list(columns[part]) == cues[part]


def test_a_day_of_cues_takes_a_quarter_of_the_memory() -> None:
    def weight(kept: type) -> int:
        tracemalloc.start()
        held = kept(Cue(1000 * n, 300 + n, "tick", 400 + n) for n in range(20_000))
        now, _ = tracemalloc.get_traced_memory()
        tracemalloc.stop()
        assert len(held) == 20_000
        return now

    assert 4 * weight(CueColumns) < weight(tuple)
