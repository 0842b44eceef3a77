"""Steps are found by the names that people give them."""

import pytest

from darktimer.errors import UnreadableError
from darktimer.process.named import plain_name, steps_named
from darktimer.process.timeline import Step, Timeline

NAMES = [("Soak", "soak"), ("Film in", "develop"), ("Wash 1 of 2", "wash"), ("Wash 2 of 2", "wash")]
TIMELINE = Timeline("A test", 40, tuple(Step(*each, 0, 10, False) for each in NAMES), (), (), ())


@pytest.mark.parametrize(
    ("wanted", "found"),
    [
        ("1", [0]),
        ("SOAK", [0]),
        ("film in", [1]),
        ("develop", [1]),
        ("wash", [2, 3]),
        ("Wash 2 of 2", [3]),
        ("4", [3]),
    ],
)
def test_a_step_goes_by_its_number_name_and_kind(wanted: str, found: list[int]) -> None:
    assert steps_named(TIMELINE, wanted) == found


def test_what_is_no_step_is_refused_with_the_nearest() -> None:
    with pytest.raises(UnreadableError) as error:
        steps_named(TIMELINE, "wahs")
    assert str(error.value) == (
        "there is no step 'wahs'; did you mean 'wash'? steps are: soak, film in, wash"
    )


def test_a_plain_name_leaves_out_which_change_it_is() -> None:
    assert [plain_name(name) for name in ("Wash 10 of 12", "Part 2 of 3 again")] == [
        "wash",
        "part 2 of 3 again",
    ]
