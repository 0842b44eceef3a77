"""``darktimer new`` takes what people answer, and says what it took."""

import pytest

from darktimer.plan.draft import complete
from darktimer.prepare.answers import in_plan_words
from tests.cli.test_new import new


@pytest.mark.parametrize(
    ("asked", "answer", "film", "read"),
    [
        ("film", "2 rolls of 120", "", {"film": "120", "amount": "2"}),
        ("film", "two rolls 135-36", "", {"film": "135-36", "amount": "2"}),
        ("film", "a roll of 120 film", "", {"film": "120", "amount": "1"}),
        ("film", "50 ft of 16 mm", "", {"film": "16 mm", "amount": "50 ft"}),
        ("film", "six sheets of 4x5", "", {"film": "4x5 in", "amount": "6"}),
        ("film", "3 x 9x12", "", {"film": "9x12 cm", "amount": "3"}),
        ("film", "2 135-36", "", {"film": "135-36", "amount": "2"}),
        ("film", "135-36 x 2", "", {"film": "135-36", "amount": "2"}),
        ("film", "120 x3", "", {"film": "120", "amount": "3"}),
        ("film", "135-36, two of them", "", {"film": "135-36", "amount": "2"}),
        ("film", "120 (2 rolls)", "", {"film": "120", "amount": "2"}),
        ("film", "two 36 exposure rolls", "", {"film": "135-36", "amount": "2"}),
        ("film", "135 24", "", {"film": "135-24"}),
        ("film", "135/36", "", {"film": "135-36"}),
        ("film", "135", "", {"film": "135-36"}),
        ("film", "two rolls of 135", "", {"film": "135-36", "amount": "2"}),
        ("film", "Ten rolls 135", "", {"film": "135-36", "amount": "10"}),
        ("film", "135 x 2", "", {"film": "135-36", "amount": "2"}),
        ("film", "two sheets of 2¼ x 3¼ in", "", {"film": "2.25x3.25 in", "amount": "2"}),
        ("film", "four 4x5 sheets", "", {"film": "4x5 in", "amount": "4"}),
        ("film", "4x5 inch", "", {"film": "4x5 in"}),
        ("film", "16mm, 100 ft", "", {"film": "16 mm", "amount": "100 ft"}),
        ("film", "50 ft double 8", "", {"film": "double-8", "amount": "50 ft"}),
        ("film", "super 8", "", {"film": "8 mm type S"}),
        ("film", "135-24", "", {"film": "135-24"}),
        ("film", "4x5 in", "", {"film": "4x5 in"}),
        ("film", "16mm", "", {"film": "16 mm"}),
        ("film", "36", "", {"film": "135-36"}),
        ("film", "two rolls of 24 exposures", "", {"film": "135-24", "amount": "2"}),
        ("film", "four sheets of 8 by 17 in", "", {"film": "8x17 in", "amount": "4"}),
        ("film", "24 x 30 cm", "", {"film": "24x30 cm"}),
        ("amount", "2 rolls of 120", "120", {"amount": "2"}),
        ("amount", "two", "135-36", {"amount": "2"}),
        ("amount", "Six sheets", "4x5 in", {"amount": "6"}),
        ("amount", "50 feet", "16 mm", {"amount": "50 feet"}),
        ("amount", "50 ft of 16 mm", "16 mm", {"amount": "50 ft"}),
        ("vessel", "a tank", "120", {"vessel": "spiral tank"}),
        ("volume", "1 liter", "120", {"volume": "1 liter"}),
        ("volume", "a litre", "120", {"volume": "1 litre"}),
        ("volume", "half a liter", "120", {"volume": "0.5 liter"}),
        ("volume", "32 oz", "120", {"volume": "32 US fl oz"}),
        ("volume", "16 fl. oz.", "120", {"volume": "16 US fl oz"}),
        ("volume", "UNKNOWN", "120", {"volume": "unknown"}),
        ("volume", "Don't know", "120", {"volume": "unknown"}),
        ("clearing", "?", "120", {"clearing": "unknown"}),
        ("between", "plain water", "120", {"between": "rinse"}),
        ("between", "Stop bath", "120", {"between": "stop"}),
        ("temperature", "20", "120", {"temperature": "20 C"}),
        ("temperature", "68", "120", {"temperature": "68 F"}),
        ("temperature", "40", "120", {"temperature": "40 C"}),
        ("temperature", "50", "120", {"temperature": "50 F"}),
        ("temperature", "68F", "120", {"temperature": "68F"}),
        ("temperature", "68 degrees", "120", {"temperature": "68 F"}),
        ("develop", "20", "120", {"develop": "20 min"}),
        ("develop", "ten minutes", "120", {"develop": "10 minutes"}),
        ("loading", "5", "120", {"loading": "5 min"}),
        ("loading", "no", "120", {"loading": "beforehand"}),
        ("changes", "ten times", "120", {"changes": "10"}),
        ("title", "Two rolls, one evening", "120", {"title": "Two rolls, one evening"}),
        ("developer", "one shot", "120", {"developer": "one shot"}),
    ],
)
def test_an_answer_is_put_into_the_words_of_a_plan(asked, answer, film, read):
    assert in_plan_words(asked, answer, film) == read


@pytest.mark.parametrize(
    ("asked", "answer", "film", "said"),
    [
        ("film", "12", "", "'12' may be 135-12 or 120 or 127; write one of them"),
        ("film", "2 12", "", "'2 12' is none of these; did you mean '220'"),
        ("film", "banana", "", "'banana' is none of these; allowed are 135-36,"),
        ("film", "two rolls of banana", "", "'banana' is none of these; allowed are 135-36,"),
        (
            "amount",
            "2 rolls of 120",
            "135-36",
            "'2 rolls of 120' is of 120, and the film is 135-36",
        ),
        ("temperature", "45", "120", "'45' may be C or F; write 45 C or 45 F"),
        ("temperature", "40.1", "120", "'40.1' may be C or F; write 40.1 C or 40.1 F"),
        ("temperature", "49.9", "120", "'49.9' may be C or F; write 49.9 C or 49.9 F"),
    ],
)
def test_what_may_mean_two_things_is_asked_about(asked, answer, film, said):
    with pytest.raises(ValueError, match="; ") as refused:
        in_plan_words(asked, answer, film)
    assert str(refused.value).startswith(said)


@pytest.mark.parametrize("bare", ["0", "61", "90"])
def test_a_bare_number_that_is_no_likely_number_of_minutes_has_no_unit(bare):
    status, err, written = new({"develop": bare})
    assert (status, written) == (2, None)
    assert "such as 15 min, 7:30" in err


def test_a_clearing_time_may_be_seconds_or_minutes_and_says_which():
    assert "'30' has no unit; write a duration" in new({"clearing": "30"})[1]


def test_an_ounce_that_may_be_another_is_the_larger_one_which_covers_the_film():
    """Weights and Measures Act 1985 (28.413 ml); NIST Handbook 44, appendix C (29.574 ml)."""
    _, _, written = new({"volume": "32 oz"})
    assert written
    assert written.plan.vessel.volume.ml == pytest.approx(32 * 29.5735, rel=1e-4)
    assert written.plan.vessel.volume.ml > 32 * 28.4131


def test_the_time_for_loading_is_asked_and_stands_in_the_plan():
    _, _, written = new({"loading": "6 min", "vessel": "tub"})
    assert written
    assert (written.plan.steps[0].kind, written.plan.steps[0].time_ms) == ("load", 360_000)


def test_film_that_is_loaded_before_needs_a_closed_vessel():
    _, _, written = new({"loading": "none", "light": "closed"})
    assert written
    assert written.plan.steps[0].kind == "develop"
    status, err, _ = new({"loading": "none", "light": "open"})
    assert status == 2
    assert "begin with a line - load: by hand" in err


def test_usual_answers_are_plan_words_already():
    whole = complete({})
    for asked, answer in whole.items():
        assert in_plan_words(asked, answer, whole["film"]) == {asked: answer}
