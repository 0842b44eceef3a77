"""What the rules of tone say of a breach, and the very edge of each, by hand."""

from types import SimpleNamespace
from typing import Any

import pytest

from darktimer.cues.cue_set import Band, Pulse
from darktimer.cues.rules import RULES

Partials = list[tuple[float, float]]


def said(asks: str, *cues: str, level: float = -20, hertz: float = 500, **of_set: Any) -> list[str]:
    """What the one rule that asks for this says of cues of one pulse of 400 ms."""
    (rule,) = [rule for rule in RULES if asks in rule.asks]
    heard = {meaning: (Pulse(0, 400, hertz, level),) for meaning in cues}
    return [f"{' '.join(m)}: {text}" for m, text in rule.breaches(SimpleNamespace(**of_set), heard)]


def of_partials(asks: str, partials: Partials) -> list[str]:
    voice = SimpleNamespace(partials=lambda _: partials)
    return said(asks, "move", "stand", voice=voice, band=Band(600, 2500))


def test_ramps_band_and_notes() -> None:
    assert said("10 to 40 ms", voice=SimpleNamespace(ramp_ms=9)) == ["voice: 9 ms"]
    assert said("a set's band", band=Band(500, 2500)) == ["band: 500 to 2500 Hz"]
    assert said("150 and 1000 Hz", "move", hertz=1001) == ["move: a note of 1001 Hz"]


@pytest.mark.parametrize(
    ("asks", "partials", "expected"),
    [
        ("4 harmonics", [(500, 1), (1000, 1), (1500, 0.1)], "the note of 500 Hz has 2"),
        (
            "70 % of the power",
            [(500, 1), (1000, 1)],
            "50% of the note of 500 Hz lies in 600 to 2500 Hz",
        ),
        ("10 % of the power", [(500, 1), (3000, 2)], "80% of the note of 500 Hz lies above 3 kHz"),
        ("at most 6 dB", [(500, 2), (1000, 1)], "20% of the note of 500 Hz is left"),
    ],
)
def test_what_is_said_of_a_note(asks: str, partials: Partials, expected: str) -> None:
    assert of_partials(asks, partials) == [f"move: {expected}"]


def test_a_note_on_the_edge_keeps_the_rule() -> None:
    """Of 7, 4, 2, 1 the first has 49 of 70 parts of the power; of 3, 1 the last has 1 of 10."""
    weak = 10 ** (-15 / 20)
    assert not of_partials("4 harmonics", [(300, 1), (1000, weak), (2000, weak), (4000, weak)])
    assert not of_partials("70 % of the power", [(600, 7), (2501, 4), (3000, 2), (4000, 1)])
    assert not of_partials("10 % of the power", [(1000, 3), (9000, 1)])


@pytest.mark.parametrize(
    ("asks", "meaning", "kept", "broken"),
    [
        ("within 2 LU", "move", (-2, 2), (-3, 3)),
        ("+3 to +6 LU", "alarm", (3, 6), (2, 7)),
        ("-20 to -6 LU", "heartbeat", (-20, -6), (-21, -5)),
        ("-20 to -6 LU", "pip", (-20, -6), (-21, -5)),
        ("-20 to -6 LU", "turn", (-20, -6), (-21, -5)),
        ("-20 to -6 LU", "sheet", (-20, -6), (-21, -5)),
    ],
)
def test_loudness_and_whom_it_concerns(
    asks: str, meaning: str, kept: tuple[int, int], broken: tuple[int, int]
) -> None:
    """400 ms of 0 dB are 0 LU; a power of 400 / 400 is 1, and its logarithm exact."""
    voice = SimpleNamespace(sounding_ms=float)

    def off(above: float, *cues: str) -> list[str]:
        return said(asks, *cues, level=0, voice=voice, loudness=-above)

    assert [off(above, meaning) for above in kept] == [[], []]
    assert [off(above, meaning) for above in broken] == [
        [f"{meaning}: {above:+.1f} LU"] for above in broken
    ]
    others = {"move": ("alarm", "pip"), "alarm": ("move", "pip")}.get(meaning, ("move", "alarm"))
    assert not any(off(100, other) for other in others)
