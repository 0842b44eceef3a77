"""How far each cue gives way to one that calls for an act, and what is left out."""

import pytest

from darktimer.errors import FindingsError
from darktimer.process.announce import CueRequest
from darktimer.process.spacing import Spaced, space

AT_MS = 100_000
#: What is asked for, how much later and earlier it may come, and how clear of others it stays.
YIELDING = [
    ("turn", 400, 0, 500),
    ("sheet", 1000, 0, 500),
    ("round", 1000, 0, 500),
    ("reverse", 1000, 0, 500),
    ("pip", 0, 0, 500),
    ("ready-1", 2000, 2000, 500),
    ("tally-7", 3000, 6000, 1000),
    ("heartbeat", 0, 0, 500),
]


def spaced(*requests: tuple[int, str], act: int = 1000, cue: int = 400) -> Spaced:
    """``requests`` placed where `stand` sounds at 100 s for ``act`` ms, other cues for ``cue``."""
    requested = [CueRequest(at, meaning, 0) for at, meaning in requests]
    lengths = {"stand": act, "unsaid": 0}
    return space(
        [CueRequest(AT_MS, "stand", 0), *requested], lambda meaning: lengths.get(meaning, cue)
    )


def heard(at_ms: int, meaning: str, act: int = 1000) -> int | None:
    """Where one cue is heard, None where it is left out."""
    found = [c.at_ms for c in spaced((at_ms, meaning), act=act).cues if c.meaning == meaning]
    return found[0] if found else None


@pytest.mark.parametrize(("meaning", "later", "earlier", "clear"), YIELDING)
def test_a_cue_comes_later_by_so_much_and_no_more(
    meaning: str, later: int, earlier: int, clear: int
) -> None:
    free_ms = AT_MS + 1000 + clear
    assert heard(free_ms, meaning) == free_ms
    assert heard(free_ms - later, meaning) == free_ms
    assert heard(free_ms - later - 1, meaning) != free_ms


@pytest.mark.parametrize(("meaning", "later", "earlier", "clear"), YIELDING)
def test_a_cue_comes_earlier_by_so_much_and_no_more(
    meaning: str, later: int, earlier: int, clear: int
) -> None:
    free_ms = AT_MS - clear - 400
    assert heard(free_ms, meaning, act=60_000) == free_ms
    assert heard(free_ms + earlier, meaning, act=60_000) == free_ms
    assert heard(free_ms + earlier + 1, meaning, act=60_000) is None


@pytest.mark.parametrize("meaning", ["light-safe", "end"])
def test_light_safe_and_the_end_come_later_however_much_is_in_the_way(meaning: str) -> None:
    assert heard(AT_MS - 899, meaning, act=3_600_000) == AT_MS + 3_600_500
    assert heard(AT_MS - 900, meaning, act=3_600_000) == AT_MS - 900


def test_cues_of_one_kind_stay_half_a_second_apart() -> None:
    both = spaced((0, "heartbeat"), (900, "heartbeat"))
    assert [cue.at_ms for cue in both.cues] == [0, 900, AT_MS]
    one = spaced((0, "heartbeat"), (899, "heartbeat"), (3000, "heartbeat"))
    assert [cue.at_ms for cue in one.cues] == [0, 3000, AT_MS]
    assert one.left_out == [CueRequest(899, "heartbeat", 0)]


def test_of_two_kinds_the_more_important_keeps_its_moment() -> None:
    found = spaced((5000, "heartbeat"), (5100, "pip"), (5300, "light-safe"))
    assert [(cue.at_ms, cue.meaning) for cue in found.cues[:2]] == [
        (5300, "light-safe"),
        (AT_MS, "stand"),
    ]
    assert {request.meaning for request in found.left_out} == {"heartbeat", "pip"}


def test_a_gap_between_two_acts_holds_what_fits_into_it() -> None:
    """From 101.5 s on, until half a second before the next act."""
    for second, there in ((AT_MS + 2400, AT_MS + 1500), (AT_MS + 2399, None)):
        found = spaced((AT_MS + 500, "reverse"), (second, "move"))
        assert [c.at_ms for c in found.cues if c.meaning == "reverse"] == ([there] if there else [])


def test_acts_may_follow_each_other_at_once_but_not_cover_each_other() -> None:
    assert len(spaced((AT_MS + 1000, "lift")).cues) == 2
    with pytest.raises(FindingsError) as caught:
        spaced((AT_MS + 999, "lift"))
    assert caught.value.findings[0].found == (
        "at 1:40 the sound for stand lasts 1000 ms, but lift follows after 999 ms"
    )


def test_what_a_cue_set_leaves_unsaid_takes_no_room() -> None:
    found = spaced((5000, "unsaid"), (5000, "heartbeat"))
    assert [cue.meaning for cue in found.cues] == ["heartbeat", "stand"]
    assert found.left_out == []


def test_a_hundred_thousand_cues_are_as_many_as_are_told() -> None:
    def count(number: int) -> int:
        return len(
            space((CueRequest(2000 * k, "move", 0) for k in range(number)), lambda _: 300).cues
        )

    assert count(100_000) == 100_000
    with pytest.raises(FindingsError, match="more than 100,000 cues"):
        count(100_001)


def test_minutes_with_nothing_near_are_counted_at_their_moment() -> None:
    assert spaced((200_000, "tally-1")).cues[-1].at_ms == 200_000


def test_nothing_sounds_before_the_first_moment() -> None:
    """A warning at 1 s would have to begin 1 ms before the line does."""
    requests = [CueRequest(1000, "ready-1", 0), CueRequest(899, "stand", 0)]
    found = space(requests, lambda meaning: 3000 if meaning == "stand" else 400)
    assert found.left_out == requests[:1]
