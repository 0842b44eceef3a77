import pytest

from darktimer.cues.notation import Beat, hertz, melody, rhythm
from darktimer.errors import UnreadableError

LENGTHS = {"short": 110, "long": 260}
RESTS = {"breath": 360}


def test_notes_may_be_raised_and_lowered() -> None:
    assert hertz("F#5") == pytest.approx(739.99, abs=0.01)
    assert hertz("Bb4") == hertz("A#4")
    assert melody("A4 A5") == (440.0, 880.0)


@pytest.mark.parametrize(
    ("note", "frequency"),
    [
        ("C4", 261.63),
        ("D4", 293.66),
        ("E4", 329.63),
        ("F4", 349.23),
        ("G4", 392.0),
        ("B4", 493.88),
        ("C0", 16.35),
        ("B9", 15_804.27),
        ("Cb4", 246.94),
        ("B#4", 523.25),
    ],
)
def test_notes_of_the_equal_tempered_scale(note: str, frequency: float) -> None:
    """The table of twelve equal steps to an octave at A4 = 440 Hz (ISO 16; from memory)."""
    assert hertz(note) == pytest.approx(frequency, abs=0.006)


def test_a_gap_stands_between_pulses() -> None:
    assert rhythm("short long", LENGTHS, RESTS, 90) == (Beat(0, 110), Beat(200, 260))


def test_a_rest_stands_in_place_of_the_gap() -> None:
    assert rhythm("long (breath) short", LENGTHS, RESTS, 90) == (Beat(0, 260), Beat(620, 110))


def test_a_star_repeats() -> None:
    twice = rhythm("2*short long", LENGTHS, RESTS, 90)
    assert twice == rhythm("short short long", LENGTHS, RESTS, 90)


@pytest.mark.parametrize(
    "text",
    [
        "",
        "(breath)",
        "short (breath)",
        "(breath) short",
        "short (breath) (breath) long",
        "short (huge) long",
        "huge",
        "short-long",
        "0*short",
        "SHORT",
    ],
)
def test_a_rhythm_that_cannot_be_played_is_refused(text: str) -> None:
    with pytest.raises(UnreadableError):
        rhythm(text, LENGTHS, RESTS, 90)


@pytest.mark.parametrize("text", ["", "H5", "A", "5A", "A55", "a5"])
def test_what_is_no_note_is_refused(text: str) -> None:
    with pytest.raises(UnreadableError, match=r"note|nothing"):
        melody(text)
