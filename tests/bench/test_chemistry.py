"""Forms, alkali, acidity and solubility: laws, and what is refused."""

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from darktimer.bench.acidity import UNCERTAINTY_STRONG, Acidity, estimate
from darktimer.bench.alkali import after_acid, alkali_of, dissolved, foams
from darktimer.bench.bench_error import BenchError
from darktimer.bench.recipe_lookup import read_recipe_file
from darktimer.bench.replacement import BAKING_SODA, SODA, replace
from darktimer.bench.solubility import limit_g_per_l, undissolved
from darktimer.bench.substances import FORMS, form_named

GRAMS = st.floats(0.01, 500)
ACID = FORMS["ascorbic acid"]
ALIKE = [
    (one, other)
    for one in FORMS.values()
    for other in FORMS.values()
    if one.acts == other.acts and one != other
]


@given(pair=st.sampled_from(ALIKE), grams=GRAMS)
def test_there_and_back_is_where_it_began(pair, grams: float) -> None:
    there = replace(pair[0], grams, pair[1])
    back = replace(pair[1], there.mass_g, pair[0])
    assert back.mass_g == pytest.approx(grams)
    assert back.soda_g == pytest.approx(-there.soda_g, abs=1e-9)


@given(pair=st.sampled_from(ALIKE), grams=GRAMS)
def test_a_replacement_leaves_the_alkali_as_it_was(pair, grams: float) -> None:
    wanted, have = pair
    new = replace(wanted, grams, have)
    before = after_acid([(wanted, grams), (SODA, 1000), (ACID, 1)], 1000)
    after = after_acid([(have, new.mass_g), (SODA, 1000 + new.soda_g), (ACID, 1)], 1000)
    assert before is not None
    assert after is not None
    one, other = FORMS[before.form], FORMS[after.form]
    left = before.left_mmol_per_l * alkali_of(one)
    assert after.left_mmol_per_l * alkali_of(other) == pytest.approx(left)


def test_baking_soda_is_refused_with_reason_and_numbers() -> None:
    with pytest.raises(BenchError, match="does not replace it") as refusal:
        replace(FORMS["sodium carbonate decahydrate"], 124.2, BAKING_SODA)
    text = str(refusal.value)
    assert "estimated pH 8.1" in text
    assert "estimated pH 11.4" in text
    assert "bake 72.9 g of baking soda" in text
    assert "all 46.0 g that remain" in text


def test_other_work_is_not_replaced() -> None:
    with pytest.raises(BenchError, match="potassium carbonate"):
        replace(SODA, 10, FORMS["citric acid"])
    with pytest.raises(BenchError, match="nothing known replaces it"):
        replace(FORMS["potassium bromide"], 10, SODA)


def test_fixers_of_two_kinds_differ_in_speed() -> None:
    salt, crystals = FORMS["ammonium thiosulphate"], FORMS["sodium thiosulphate pentahydrate"]
    assert "speeds" in replace(crystals, 200, salt).note
    assert not replace(crystals, 200, FORMS["sodium thiosulphate anhydrous"]).note


@pytest.mark.parametrize(
    ("written", "name"),
    [
        ("Washing soda, anhydrous", "sodium carbonate anhydrous"),
        ("washing-soda decahydrate", "sodium carbonate decahydrate"),
        ("sodium thiosulfate (pentahydrate)", "sodium thiosulphate pentahydrate"),
        ("Sodium sulfite anhydrous", "sodium sulphite anhydrous"),
        ("vitamin C", "ascorbic acid"),
        ("bicarbonate of soda", "baking soda"),
    ],
)
def test_names_people_write(written: str, name: str) -> None:
    assert form_named(written).name == name


@pytest.mark.parametrize(
    ("written", "words"),
    [
        ("washing soda", "sodium carbonate monohydrate"),
        ("Sodium carbonate", "may mean several forms"),
        ("soda", "baking soda"),
        ("borax", "borax pentahydrate"),
        ("hypo", "sodium thiosulphate anhydrous"),
        ("soda crystals", "sodium carbonate decahydrate"),
        ("washing soda crystals", "may mean several forms"),
        ("ascorbic acud", "did you mean 'ascorbic acid'?"),
        ("asorbic acid", "did you mean 'ascorbic acid'?"),
        ("potassium bromid", "did you mean 'potassium bromide'?"),
        ("potassium carbnoate", "did you mean 'potassium carbonate'?"),
        ("anhydrous sodium carbonate", "did you mean 'sodium carbonate anhydrous'?"),
        ("xyzzy", "no such substance"),
    ],
)
def test_names_that_need_a_question(written: str, words: str) -> None:
    with pytest.raises(BenchError) as refusal:
        form_named(written)
    assert words in str(refusal.value)


@pytest.mark.parametrize(
    "other",
    [
        "sodium metabisulphite",
        "sodium metabisulfite anhydrous",
        "sodium bisulphite",
        "sodium sulphate anhydrous",
        "sodium sulphide",
        "sodium bicarbonite",
        "sodium chlorite",
        "sodium chlorate",
        "sodium hydride",
        "sodium hydrogen sulphate",
        "potassium bromate",
        "potassium chloride",
        "ammonium sulphate",
        "ammonium thiosulphite",
        "nitric acid",
        "isoascorbic acid",
        "calcium ascorbate",
        "lithium carbonate",
        "sodium carbonate hexahydrate",
        "borax anhydrous",
        "vitamin e",
    ],
)
def test_another_substance_is_never_taken_for_a_slip_of_the_pen(other: str) -> None:
    with pytest.raises(BenchError, match="no such substance; write one of"):
        form_named(other)


@given(name=st.sampled_from([*FORMS]), data=st.data())
def test_a_letter_left_out_is_asked_about(name: str, data: st.DataObject) -> None:
    """Within a word; a first letter may be what another substance differs in."""
    inner = [at for at in range(1, len(name)) if name[at - 1 : at + 1].isalpha()]
    at = data.draw(st.sampled_from(inner))
    with pytest.raises(BenchError, match=f"did you mean '{name}'"):
        form_named(name[:at] + name[at + 1 :])


@given(soda=st.floats(5, 200), less=st.floats(0, 50), more=st.floats(0.1, 50))
def test_more_acid_never_raises_the_ph(soda: float, less: float, more: float) -> None:
    acid = FORMS["citric acid"]
    one = estimate(dissolved([(SODA, soda), (acid, less)], 1000))
    other = estimate(dissolved([(SODA, soda), (acid, less + more)], 1000))
    assert other.ph < one.ph + 0.02  # a stronger solution shifts activities a little


def test_water_is_neutral() -> None:
    assert estimate({}).ph == pytest.approx(7.0, abs=0.01)
    assert estimate({"sodium": 0.01, "chloride": 0.01}).ph == pytest.approx(7.0, abs=0.01)


def test_the_uncertainty_is_always_said() -> None:
    strong = estimate(dissolved([(SODA, 46)], 1000))
    assert strong.uncertainty == UNCERTAINTY_STRONG
    assert "estimated" in strong.text()
    assert "within 0.5" in strong.text()
    weak = estimate({"sodium": 0.02, "carbonate": 0.01})
    assert weak.text() == f"estimated pH {weak.ph:.1f} (within 0.1)"


def test_what_nobody_measured_makes_the_ph_a_highest_one() -> None:
    found = estimate({"sodium": 0.02, "carbonate": 0.01}, 20)
    found = found._replace(unmeasured=("nettle", "red wine"))
    text = found.text()
    assert text.startswith(f"estimated pH at most {found.ph:.1f} (within 0.1)")
    assert text.endswith("lowered by unmeasured acids in nettle and red wine")


SODA_IN = """\
title: Soda in a drink
bath: developer
makes: 1 l
ingredients:
  - {{liquid: {drink}, amount: {amount}{acid}}}
  - {{substance: sodium carbonate anhydrous, amount: {soda}}}
"""


def soda_in(tmp_path: Path, drink: str, amount: str, soda: str, acid: str = "") -> Acidity:
    path = tmp_path / "soda.yaml"
    path.write_text(SODA_IN.format(drink=drink, amount=amount, soda=soda, acid=acid))
    found = read_recipe_file(path).acidity(20)
    assert found is not None
    return found


@pytest.mark.parametrize(
    ("drink", "amount", "soda", "acid"),
    [
        # M: wine holds 5 to 9 g/l of acid, here as citric acid, which has as many protons a gram
        ("red wine", "900 ml", "5 g", ", acid: citric acid, strength: 0.6 %"),
        # P, as cited: 48 g/l of citric acid in lemon juice; Penniston 2008, J. Endourology 22:567
        ("lemon juice", "300 ml", "30 g", ", acid: citric acid, strength: 4.8 %"),
        ("lemon juice", "50 ml", "20 g", ", acid: citric acid, strength: 4.8 %"),
    ],
)
def test_a_drink_with_soda_has_at_most_the_ph_of_soda(tmp_path, drink, amount, soda, acid) -> None:
    silent = soda_in(tmp_path, drink, amount, soda)
    measured = soda_in(tmp_path, drink, amount, soda, acid)
    assert "at most" in silent.text()
    assert drink in silent.text()
    assert "at most" not in measured.text()
    assert measured.ph < silent.ph


def test_a_bath_too_weak_and_one_too_strong() -> None:
    assert "underdevelopment" in Acidity(8.1, 0.1, 0.1).warning(True)
    assert "fog" in Acidity(12.5, 0.1, 0.1).warning(True)
    assert Acidity(10.2, 0.5, 1.0).warning(True) == ""
    assert "perhaps too high" in Acidity(11.5, 0.2, 0.3, ("wine",)).warning(True)
    assert "perhaps" not in Acidity(11.5, 0.2, 0.3).warning(True)


def test_acid_beyond_the_alkali_leaves_none() -> None:
    met = after_acid([(SODA, 10.59885), (FORMS["citric acid"], 192.1238)], 500)
    assert met is not None
    assert (met.neutralised_g, met.left_g) == (pytest.approx(10.59885), 0)
    assert met.left_mmol_per_l == 0


def test_nothing_is_said_where_alkali_and_acid_do_not_meet() -> None:
    assert after_acid([(SODA, 46), (FORMS["sodium ascorbate"], 15)], 1000) is None
    assert after_acid([(BAKING_SODA, 46), (ACID, 13)], 1000) is None
    assert after_acid([], 1000) is None


def test_several_alkalis_are_counted_as_the_one_that_brings_most() -> None:
    """By hand: 0.5 mol of soda and 0.1 of lye less 0.1 of acid leave 0.5 mol in half a litre."""
    lye = FORMS["sodium hydroxide"]
    met = after_acid([(lye, 3.9997), (SODA, 52.99425), (ACID, 17.61244)], 500)
    assert met is not None
    assert met.form == SODA.name
    assert met.left_g == pytest.approx(52.994, abs=0.01)
    assert met.left_mmol_per_l == pytest.approx(1000, abs=0.1)


@pytest.mark.parametrize(
    ("names", "expected"),
    [
        (("sodium carbonate anhydrous", "ascorbic acid"), True),
        (("baking soda", "citric acid"), True),
        (("sodium carbonate anhydrous", "sodium ascorbate"), False),
        (("sodium carbonate anhydrous", "baking soda"), False),
        (("citric acid",), False),
    ],
)
def test_what_foams(names: tuple[str, ...], expected: bool) -> None:
    assert foams(FORMS[name] for name in names) is expected


def test_more_than_dissolves_is_said() -> None:
    assert undissolved(SODA, 200, 20) == ""
    assert undissolved(FORMS["citric acid"], 5000, 20) == ""
    assert undissolved(FORMS["potassium carbonate"], 900, 20) == ""
    assert "50 g/l of borax decahydrate do not dissolve at 20.0 °C: about 48" in undissolved(
        FORMS["borax decahydrate"], 50, 20
    )
    assert "100 g/l of baking soda do not dissolve at 20.0 °C: about 96" in undissolved(
        BAKING_SODA, 100, 20
    )
    assert "about 218 g/l do" in undissolved(SODA, 300, 20)


def test_limits_follow_what_acts() -> None:
    crystals = limit_g_per_l(FORMS["sodium carbonate decahydrate"], 20)
    soda = limit_g_per_l(SODA, 20)
    assert crystals is not None
    assert soda is not None
    assert crystals / soda == pytest.approx(286.1414 / 105.9885, rel=1e-5)
    assert limit_g_per_l(FORMS["citric acid"], 20) is None


@given(
    name=st.sampled_from(["sodium carbonate anhydrous", "baking soda", "borax decahydrate"]),
    one=st.floats(0, 60),
    other=st.floats(0, 60),
)
def test_warmer_water_dissolves_no_less(name: str, one: float, other: float) -> None:
    limits = [limit_g_per_l(FORMS[name], celsius) for celsius in sorted((one, other))]
    assert None not in limits
    assert limits[0] <= limits[1] + 1e-9  # type: ignore[operator]
