"""What the rules of rhythm say of a breach, how long cues may be, and how soon they come again."""

from collections.abc import Mapping, Sequence
from types import SimpleNamespace
from typing import Any

import pytest

from darktimer.cues.cue_set import Count, DigitPlace, Figure, Pulse, Voice
from darktimer.cues.notation import Beat
from darktimer.cues.rule import Breach
from darktimer.cues.rules import RULES

Tones = Sequence[tuple[int, int]]


def sound(*tones: tuple[int, int]) -> tuple[Pulse, ...]:
    return tuple(Pulse(at, length, 500, -20) for at, length in tones)


def breaches(asks: str, heard: Mapping[str, tuple[Pulse, ...]], **of_set: Any) -> list[Breach]:
    """What the one rule that asks for this says of the cues."""
    (rule,) = [rule for rule in RULES if asks in rule.asks]
    return list(rule.breaches(SimpleNamespace(**of_set), heard))


@pytest.mark.parametrize(
    ("asks", "cues", "said"),
    [
        ("shorter than 100 ms", {"pip": [(0, 99), (300, 98)]}, [(("pip",), "98 ms")]),
        ("no gap is shorter", {"pip": [(0, 100), (180, 100), (400, 100)]}, [(("pip",), "80 ms")]),
        ("no rest within a cue", {"pip": [(0, 100), (500, 100)]}, [(("pip",), "400 ms")]),
        (
            "3 times as long",
            {"light-safe": [(0, 500), (900, 300)], "move": [(0, 50), (100, 101)]},
            [(("light-safe", "move"), "300 and 101 ms")],
        ),
        ("any half of it", {"light-safe": [(0, 900)]}, [(("light-safe",), "1 pulses")]),
        (
            "rattles",
            {"alarm": [(0, 50), (100, 50)], "move": [(0, 50), (100, 50), (500, 50)]},
            [(("alarm", "move"), "2 and 2")],
        ),
        (
            "clear differences or more from every other cue",
            {
                "alarm": [(0, 100)],
                "light-safe": [(5000 * k, 4000) for k in range(9)],
                "move": [(0, 100), (200, 100), (400, 100)],
            },
            [(("alarm", "move"), "2.0")],
        ),
    ],
)
def test_what_is_said_of_a_breach(asks: str, cues: dict[str, Tones], said: list[Breach]) -> None:
    heard = {meaning: sound(*tones) for meaning, tones in cues.items()}
    assert breaches(asks, heard, voice=Voice((0.0, 0.0), 10)) == said


def counted(rest_ms: int, group: int = 3, group_rest_ms: int = 200, most: int = 9) -> Any:
    """A family that tells ones in pulses of 100 ms."""
    unit = Figure("", (Beat(0, 100),), (500.0,))
    places = (DigitPlace(1, unit, rest_ms),)
    return {"tally": Count("", {}, 0, 1, most, None, places, group, group_rest_ms)}


def test_what_is_said_of_counts() -> None:
    assert breaches("three in a row", {}, counts=counted(150, group=4)) == [
        (("tally",), "groups of 4")
    ]
    assert breaches("250 ms apart", {}, counts=counted(149)) == [(("tally",), "249 ms")]
    assert breaches("twice the rest within", {}, counts=counted(120)) == [
        (("tally",), "200 and 120 ms")
    ]


def test_ones_up_to_the_most_are_counted() -> None:
    """One pulse has no rest, and three in a group of three none between groups."""
    assert not breaches("250 ms apart", {}, counts=counted(149, most=1))
    assert breaches("250 ms apart", {}, counts=counted(149, most=2))
    assert not breaches("twice the rest within", {}, counts=counted(120, most=3))
    assert breaches("twice the rest within", {}, counts=counted(120, most=4))


#: The longest that each cue which asks for an act may last, in milliseconds.
LONGEST = {"enter": 1150, "move": 600, "stand": 600, "lift": 1000, "turn": 900}


@pytest.mark.parametrize("meaning", LONGEST)
def test_what_asks_for_an_act_is_short(meaning: str) -> None:
    def said(longer: int) -> list[Breach]:
        lasting = {each: SimpleNamespace(length_ms=most) for each, most in LONGEST.items()}
        lasting[meaning] = SimpleNamespace(length_ms=LONGEST[meaning] + longer)
        return breaches("heard whole", {}, cues=lasting, signatures={})

    assert said(0) == []
    most = LONGEST[meaning]
    assert said(1) == [((meaning,), f"{most + 1} ms, at most {most} ms are allowed")]


def test_a_signature_is_short() -> None:
    cues = {each: SimpleNamespace(length_ms=1) for each in LONGEST}
    signatures = {"fix": SimpleNamespace(length_ms=1200), "stop": SimpleNamespace(length_ms=1201)}
    assert breaches("heard whole", {}, cues=cues, signatures=signatures) == [
        (("enter-stop",), "1201 ms, at most 1200 ms are allowed")
    ]


def comes_again(meaning: str, tones: Tones) -> list[str]:
    return [found for _, found in breaches("empties a house", {meaning: sound(*tones)})]


MONOXIDE = "2 times, it resembles the carbon monoxide pattern"


@pytest.mark.parametrize(("gap", "found"), [(750, [MONOXIDE]), (751, [])])
@pytest.mark.parametrize("meaning", ["pip", "turn", "sheet"])
def test_what_comes_again_each_second_makes_two_of_four(
    meaning: str, gap: int, found: list[str]
) -> None:
    """UL 2034 (from memory) has four pulses; gaps of 750 ms at the most join a row of them."""
    assert comes_again(meaning, [(0, 100), (900 - gap, 100)]) == found


@pytest.mark.parametrize(("gap", "found"), [(750, True), (751, False)])
@pytest.mark.parametrize(
    ("meaning", "again"),
    [
        ("move", 2000),
        ("reverse", 2000),
        ("heartbeat", 5000),
        ("alarm", 5000),
        ("light-safe", 12_000),
    ],
)
def test_the_end_of_a_cue_and_its_beginning_when_it_comes_again(
    meaning: str, again: int, gap: int, found: bool
) -> None:
    """Two pulses at its end, and two at its beginning: four in a row where it comes again."""
    last = again - gap - 100
    tones = [(0, 100), (120, 100), (last - 120, 100), (last, 100)]
    assert (MONOXIDE in comes_again(meaning, tones)) == found


def test_each_number_of_times_is_tried() -> None:
    """Four of 0.1 s, twice two of them, three times one of 0.5 s, a second apart from the first."""
    alone = "1 times, it resembles the carbon monoxide pattern"
    assert comes_again("pip", [(0, 100), (200, 100), (400, 100), (600, 100)]) == [alone]
    assert comes_again("pip", [(0, 100), (200, 100)]) == [MONOXIDE]
    thrice = "3 times, it resembles the evacuation pattern"
    assert comes_again("pip", [(0, 500)]) == [thrice]


def test_a_cue_that_outlasts_the_time_to_its_next_runs_on_into_it() -> None:
    """Two pulses over 1.15 s, each second again: twice two of them, and no pause between."""
    assert comes_again("pip", [(0, 200), (950, 200)]) == [MONOXIDE]
