"""Edges and constants of what the bench computes, each worked by hand; quick, and without a file.

Marks: P read in a published source or a public copy of it, C computed from published constants,
T common practice with no source, M from memory.
"""

from pathlib import Path

import pytest

from darktimer.bench.acidity import (
    Acidity,
    _boric,
    _carbonic,
    _pk_water,
    _slope,
    charge_of,
    estimate,
)
from darktimer.bench.alkali import after_acid, alkali_of, dissolved, foams
from darktimer.bench.amount import Need, need, shortfall
from darktimer.bench.bath_at_hand import BathAtHand
from darktimer.bench.bench_error import BenchError
from darktimer.bench.drift import (
    DriftingBath,
    constant_from_readings,
    constant_from_vessel,
    delivered_ms,
    time_in,
)
from darktimer.bench.film import load
from darktimer.bench.misspelling import misspelt
from darktimer.bench.rate import GUESS, Activation, fitted, kelvin
from darktimer.bench.recipe import Recipe
from darktimer.bench.replacement import forms_taken
from darktimer.bench.rules_of_thumb import (
    agitated_time,
    agitation_rule,
    cold_wash_factor,
    moving_share,
)
from darktimer.bench.solubility import limit_g_per_l
from darktimer.bench.substances import FORMS, form_named
from darktimer.bench.unit_system import IMPERIAL, METRIC, US, figures
from darktimer.bench.vessel import Floor, circle, measured, rectangle, spiral_tank, standing, tub
from darktimer.bench.washing import Washed, in_changes, in_running_water
from darktimer.bench.weighing import stock, weigh
from darktimer.plan.formats import FORMATS, ROLL_M2
from darktimer.plan.reader import read_plan_text
from darktimer.plan.steps import Develop

MINUTE = 60_000


@pytest.mark.parametrize(
    ("ph", "carbonate", "words"),
    [
        (9.4, True, "too low for a carbonate developer, expect underdevelopment"),
        (9.5, True, ""),
        (11.0, True, ""),
        (11.1, True, ": too high for a carbonate developer, expect fog"),
        (4.0, False, ""),
        (12.5, False, ""),
        (12.6, False, ": too high for a developer, expect fog"),
    ],
)
def test_a_developer_of_an_unusual_ph(ph: float, carbonate: bool, words: str) -> None:
    """T: where carbonate developers work, and what fogs whatever it is made of."""
    warning = Acidity(ph, 0.1, 0.1).warning(carbonate)
    assert warning.endswith(words)
    assert bool(warning) == bool(words)
    unsure = Acidity(ph, 0.1, 0.1, ("leaf",)).warning(carbonate)
    assert ("perhaps too high" in unsure) == ("too high" in words)


@pytest.mark.parametrize(
    ("strength", "within"), [(0.099, 0.1), (0.101, 0.2), (0.499, 0.2), (0.501, 0.5)]
)
def test_the_estimate_is_less_certain_in_strong_baths(strength: float, within: float) -> None:
    found = estimate({"sodium": strength, "chloride": strength})
    assert (found.uncertainty, found.ionic_strength) == (within, pytest.approx(strength, rel=1e-4))


@pytest.mark.parametrize(
    ("acid", "sodium", "least", "most"),
    [
        ("acetate", 0.5, 4.5, 4.9),  # M: 4.76, less what ions do at 0.05 mol/l
        ("ascorbate", 0.5, 3.8, 4.3),  # M: 4.10
        ("ascorbate", 1.5, 11.0, 11.6),  # M: 11.7, and hydroxide is in the balance
        ("citrate", 0.5, 2.9, 3.4),  # M: 3.13
        ("citrate", 1.5, 4.3, 4.8),  # M: 4.76
        ("citrate", 2.5, 5.5, 6.3),  # M: 6.40
        ("borate", 0.5, 9.0, 9.3),  # M: 9.24
        ("sulphite", 0.5, 1.8, 2.3),  # M: 1.86
        ("sulphite", 1.5, 6.6, 7.2),  # M: 7.17
        ("carbonate", 0.5, 6.1, 6.4),  # M: 6.35
        ("carbonate", 1.5, 9.8, 10.2),  # M: 10.33
    ],
)
def test_half_neutralised_an_acid_has_its_pk(acid, sodium, least, most) -> None:
    assert least < estimate({acid: 0.1, "sodium": 0.1 * sodium}).ph < most


def test_constants_of_equilibrium_at_25_c() -> None:
    """M: Harned & Davis 1943, Harned & Scholes 1941; Manov, DeLollis & Acree 1944 for borate."""
    assert _carbonic(298.15) == pytest.approx((6.352, 10.329), abs=0.0016)
    assert _boric(298.15)[0] == pytest.approx(9.234, abs=0.0016)
    assert _pk_water(298.15) == pytest.approx(13.9965, abs=0.003)  # M: Harned & Owen, their table


@pytest.mark.parametrize(("celsius", "slope"), [(0, 0.4918), (25, 0.5115), (50, 0.5373)])
def test_the_slope_of_debye_and_hueckel(celsius: float, slope: float) -> None:
    """M: the table of Robinson & Stokes, Electrolyte Solutions, per litre."""
    assert _slope(273.15 + celsius) == pytest.approx(slope, abs=0.0004)


def test_hydroxide_counts_for_the_ionic_strength() -> None:
    """By hand: a tenth of a mole of caustic soda is as much of sodium and of hydroxide."""
    assert estimate({"sodium": 0.1}).ionic_strength == pytest.approx(0.1, rel=1e-4)
    assert estimate({"chloride": 0.1}).ionic_strength == pytest.approx(0.1, rel=1e-4)


def test_half_of_ammonium_set_free() -> None:
    """M: pK 9.25; so half of it with chloride has that pH."""
    assert 9.2 < estimate({"ammonium": 0.1, "chloride": 0.05}).ph < 9.5


@pytest.mark.parametrize(
    ("sodium", "part", "moles", "celsius", "ph"),
    [
        # P: standard buffers of the US bureau of standards, Bates 1962, as quoted
        (0.075, "carbonate", 0.05, 0, 10.317),
        (0.075, "carbonate", 0.05, 20, 10.062),
        (0.075, "carbonate", 0.05, 40, 9.889),
        (0.02, "borate", 0.04, 0, 9.464),
        (0.02, "borate", 0.04, 20, 9.225),
        (0.02, "borate", 0.04, 40, 9.068),
    ],
)
def test_standard_buffers_warm_and_cold(sodium, part, moles, celsius, ph) -> None:
    found = estimate({"sodium": sodium, part: moles}, celsius).ph
    assert found == pytest.approx(ph, abs=0.04)


def test_charges_at_bicarbonate() -> None:
    """By pK against 8.3: carbonate has lost one proton, citrate three, ammonium none."""
    charges = {"carbonate": -1, "citrate": -3, "ammonium": 1, "thiosulphate": -2, "borate": 0}
    assert {ion: charge_of(ion, 8.3) for ion in charges} == charges
    assert charge_of("sulphite", 8.3) == -2
    assert (charge_of("bromide", 8.3), charge_of("potassium", 8.3)) == (-1, 1)
    assert alkali_of(FORMS["sodium hydroxide"]) == 1
    assert alkali_of(FORMS["borax decahydrate"]) == 2
    assert alkali_of(FORMS["ascorbic acid"]) == -1


def test_the_alkali_of_every_form() -> None:
    """By formula: so much sodium, potassium and ammonium, less the charge of what is with it."""
    brings = {"carbonate": 1, "hydroxide": 1, "borate": 2, "citric acid": -3, "acetic acid": -1}
    for form in FORMS.values():
        expected = -1 if form.name == "ascorbic acid" else brings.get(form.acts, 0)
        assert alkali_of(form) == expected, form.name
    borax = {"sodium": 2, "borate": 4}  # Na2B4O7
    assert FORMS["borax decahydrate"].parts == FORMS["borax pentahydrate"].parts == borax


def test_what_foams() -> None:
    soda, acid = FORMS["baking soda"], FORMS["citric acid"]
    assert foams([soda, acid])
    assert foams([soda], sour=True)
    assert not foams([soda])
    assert not foams([acid], sour=True)


def test_all_of_the_alkali_may_be_neutralised() -> None:
    """By hand: 105.99 g of soda bring a mole; 352.2 g of ascorbic acid take two."""
    met = after_acid([(FORMS["sodium carbonate anhydrous"], 105.99), (ASCORBIC, 352.24)], 2000)
    assert met is not None
    assert (round(met.neutralised_g), met.left_g, met.left_mmol_per_l) == (106, 0, 0)
    half = after_acid([(FORMS["sodium carbonate anhydrous"], 105.99), (ASCORBIC, 88.06)], 2000)
    assert half is not None
    assert half.left_mmol_per_l == pytest.approx(250, abs=0.1)
    assert after_acid([(ASCORBIC, 10)], 1000) is None


ASCORBIC = FORMS["ascorbic acid"]


def test_how_much_and_why() -> None:
    assert Need(300, 0).text() == "300 ml to cover the film"
    assert Need(300, 300.4).text() == "300 ml to cover the film, as much as its area asks for"
    assert Need(300, 300.5).text() == (
        "300 ml for the area of the film, 0.5 ml more than covers it"
    )
    assert Need(300, 300.7).text().endswith("area of the film, 0.7 ml more than covers it")
    assert need(measured(300), load("135-36")) == (300, 0)
    assert Need(300, 299).text() == "300 ml to cover the film, 1 ml more than its area asks for"
    assert Need(300, 301).text() == "301 ml for the area of the film, 1 ml more than covers it"
    assert need(measured(300), load("135-36"), 0.1).capacity_ml == pytest.approx(516, abs=0.2)


def test_a_vessel_that_just_holds_it() -> None:
    roll = load("135-36")
    wanted = need(measured(300), roll)
    holds_ml = 300 + roll.displaced_ml
    assert shortfall(wanted, measured(300), roll, holds_ml) is None
    assert shortfall(wanted, measured(300), roll, holds_ml - 0.01) is not None
    short = shortfall(wanted, measured(300), roll, 300)
    assert short is not None
    assert short.remedy == "take a vessel that holds 307 ml"
    two, vessel = load("135-36", 2), spiral_tank(["135"] * 2)
    halves = shortfall(need(vessel, two), vessel, two, 400)
    assert halves is not None
    assert halves.remedy.startswith("split the film into 2 loads with fresh bath each, or take")


def test_a_bath_at_hand() -> None:
    roll = load("135-36")
    enough = BathAtHand("fixer", 500, ROLL_M2)
    assert enough.serves(500, roll)
    assert not enough.serves(500.1, roll)
    assert not enough._replace(left_m2=0.99 * ROLL_M2).serves(500, roll)
    assert not enough._replace(against=("it is old",)).serves(500, roll)
    assert enough.text(500, roll, METRIC) == (
        "500 ml of it are kept, good for 1.0 more rolls: use it, and mix none"
    )
    cleared = enough._replace(cleared_ms=150_000, against=("it is old", "it is blue"))
    assert cleared.text(500, roll, METRIC) == (
        "500 ml of it are kept, last cleared in 2:30, but not to be used: it is old; it is blue; "
        "mix it fresh"
    )
    assert "100 ml too little; mix it fresh" in enough.text(600, roll, METRIC)
    spent = enough._replace(left_m2=0.5 * ROLL_M2)
    assert spent.text(500, roll, METRIC).endswith("0.5 more rolls and this is 1.0; mix it fresh")


@pytest.mark.parametrize(
    ("name", "millimetres", "thick"),
    [
        ("120", (61, 820), 0.11),  # T: as sold
        ("6x9 cm", (60, 90), 0.18),
        ("9x12 cm", (90, 120), 0.18),
        ("10x15 cm", (100, 150), 0.18),
        ("13x18 cm", (130, 180), 0.18),
        ("4x5 in", (101.6, 127), 0.18),
        ("5x7 in", (127, 177.8), 0.18),
        ("8x10 in", (203.2, 254), 0.18),
    ],
)
def test_sizes_of_film(name: str, millimetres: tuple[float, float], thick: float) -> None:
    film = FORMATS[name]
    assert (film.width_mm, film.length_mm) == pytest.approx(millimetres)
    assert load(name).displaced_ml == pytest.approx(load(name).area_m2 * thick * 1000)


@pytest.mark.parametrize("name", ["135-12", "35 mm", "16 mm", "double-8", "8 mm type R"])
def test_thickness_of_film_on_a_thin_base(name: str) -> None:
    """T: 0.13 mm, of cassettes and of motion-picture film."""
    assert FORMATS[name].thickness_mm == FORMATS["8 mm type S"].thickness_mm == 0.13


def test_lengths_of_cassettes() -> None:
    """M: frames 38 mm apart, and so much of ends that 36 of them make the trade's roll."""
    assert FORMATS["135-36"].length_mm == pytest.approx(ROLL_M2 * 1e6 / 34.98)
    assert FORMATS["135-12"].length_mm == pytest.approx(ROLL_M2 * 1e6 / 34.98 - 24 * 38)
    assert FORMATS["16 mm"].length_mm is None


def test_activation_energies_at_the_edges() -> None:
    assert Activation(35, "given").warning == Activation(90, "given").warning == ""
    assert (
        "34 kJ/mol, which says how much a warmer bath speeds it up, is unlike any "
        "developer (35 to 90)" in Activation(34.4, "given").warning
    )
    assert "91 kJ/mol, which says" in Activation(90.6, "guess").warning
    assert "is a guess (an activation energy of 60 kJ/mol)" in GUESS.warning
    assert fitted([(20, 2 * MINUTE), (30, MINUTE)]).kj_per_mol == pytest.approx(
        51.22, abs=0.01
    )  # C
    assert fitted([(20, 12 * MINUTE), (21, 11 * MINUTE)]).origin == "fitted"
    with pytest.raises(BenchError, match="no two temperatures 1 C apart"):
        fitted([(20, 12 * MINUTE), (20.9, 11 * MINUTE)])
    with pytest.raises(BenchError, match="developers have 10 to 200"):
        fitted([(20, 12 * MINUTE), (21, 12 * MINUTE - 1)])
    with pytest.raises(BenchError, match="0 to 100 C"):
        kelvin(-0.5)
    with pytest.raises(BenchError, match="0 to 100 C"):
        kelvin(100.1)
    assert (kelvin(0), kelvin(100)) == (273.15, 373.15)
    with pytest.raises(BenchError, match="takes as long or longer"):
        fitted([(20, MINUTE), (24, MINUTE)])


def test_time_constants_that_no_bath_has() -> None:
    """A minute and a fortnight: ln 2 of a minute halves the gap to the room."""
    half = 0.6931471805599453
    assert constant_from_readings(22, 20, half * MINUTE * (1 + 1e-9), 18) > MINUTE
    with pytest.raises(BenchError, match="no bath reaches the room's temperature in a minute"):
        constant_from_readings(22, 20, half * MINUTE * (1 - 1e-9), 18)
    fortnight = 14 * 24 * 60 * MINUTE
    assert constant_from_readings(22, 20, half * fortnight * (1 - 1e-9), 18) < fortnight
    with pytest.raises(BenchError, match="none takes weeks"):
        constant_from_readings(22, 20, half * fortnight * (1 + 1e-9), 18)
    assert DriftingBath(24, 18, MINUTE).celsius_at(0) == 24


def test_how_fast_a_vessel_drifts() -> None:
    """By hand: 5 cm deep over 10 x 20 cm: 4180 J/K over 0.02 m2 x 24.6 and 0.05 m2 x 9.5 W/K."""
    vessel = standing(rectangle(100, 200), 50, "tub")
    by_hand = 4180 / (0.02 * 24.6 + 0.05 * 9.5)
    assert constant_from_vessel(vessel) == pytest.approx(1000 * by_hand)


def test_development_in_a_bath_that_has_settled() -> None:
    """C: x + x^2/4 + x^3/18 + x^4/96, x = 60 kJ/mol / R x (1/293.15 - 1/297.15) = 0.3314, is 0.361.

    So much of a time constant is what 4 C more, on the way down to 20 C, add.
    """
    steady, settling = DriftingBath(20, 20, MINUTE), DriftingBath(24, 20, MINUTE)
    assert delivered_ms(steady, 10 * MINUTE, 20, 60) == pytest.approx(10 * MINUTE)
    added = delivered_ms(settling, 100 * MINUTE, 20, 60) / MINUTE - 100
    assert added == pytest.approx(0.361, abs=0.004)
    found = time_in(settling, 100 * MINUTE, 20, 60)
    assert found.time_ms / MINUTE == pytest.approx(100 - added, abs=1e-4)
    assert found.end_celsius == pytest.approx(20)
    assert found.steady_ms / MINUTE == pytest.approx(71.8, abs=0.1)
    assert found.ignored == pytest.approx((71.8 + 0.361) / 100 - 1, abs=0.001)


@pytest.mark.parametrize(
    ("agitation", "moving"),
    [("continuous", 1), ("{inversions: 2, within: 5 s, every: 1 min}", (30 + 9 * 5) / 600)],
)
def test_the_share_of_its_time_in_which_film_moves(agitation: str, moving: float) -> None:
    """By hand: ten minutes, 30 s of them to begin with, and nine bouts of 5 s."""
    text = (
        "title: A\nvessel: {kind: spiral tank, light: closed}\nsteps:\n  - load: by hand\n"
        f"  - develop: 10 min\n    agitation: {agitation}\n"
    )
    plan = read_plan_text(text, Path("a.yaml")).plan
    (step,) = (step for step in plan.steps if isinstance(step, Develop))
    assert moving_share(plan, step) == moving


def test_rules_of_thumb_by_hand() -> None:
    """T: continuous agitation takes 15 % less; half way from 12.5 % to 100 % is 56.25 %."""
    assert agitated_time(100_000, 1.0) == 85_000
    assert agitated_time(100_000, 0.5625) == 92_500
    assert agitated_time(85_000, 0.125, 1.0) == 100_000
    assert cold_wash_factor(15) == pytest.approx(2**0.5)
    assert cold_wash_factor(5) == pytest.approx(2 ** (1 + 5 / (10 - 5 / 3)))
    assert cold_wash_factor(19.9) > 1
    assert cold_wash_factor(0) == pytest.approx(2 ** (1 + 10 / (10 - 5 / 3)))
    assert agitation_rule(MINUTE, 0.125, None) == agitation_rule(MINUTE, 0.4, 0.404) == ""
    assert "no rule is known" in agitation_rule(MINUTE, 0.1, None)
    assert "1:00 would become 1:11" in agitation_rule(MINUTE, 0.125, 1.0)
    assert "1:00 would become 0:51" in agitation_rule(MINUTE, 1.0, 0.125)
    assert "no rule is known" in agitation_rule(MINUTE, 0.5, 0.1)
    assert agitation_rule(10 * MINUTE, 1.0, None).startswith(
        "the film moves all the time; if your time is for 12.5 % (30 s, then 5 s each minute), "
        "10:00 would become 8:30: a rule of thumb, by which continuous agitation shortens by 15 %"
    )
    assert "; the recipe is for film that moves 50.0 % of the time, " in agitation_rule(
        MINUTE, 1.0, 0.5
    )


@pytest.mark.parametrize(
    ("name", "celsius", "grams"),
    [
        ("sodium carbonate anhydrous", 0, 70),  # P, as quoted
        ("sodium carbonate anhydrous", 15, 164),
        ("sodium carbonate anhydrous", 27.8, 341),
        ("sodium carbonate anhydrous", 34.8, 487),
        ("sodium carbonate anhydrous", 60, 487),
        ("baking soda", 0, 69),  # M
        ("baking soda", 10, 81.5),
        ("baking soda", 20, 96),
        ("baking soda", 30, 111),
        ("baking soda", 40, 127),
        ("borax decahydrate", 0, 20),  # M
        ("borax decahydrate", 10, 31),
        ("borax decahydrate", 20, 48),
        ("borax decahydrate", 30, 75),
        ("borax decahydrate", 40, 119),
    ],
)
def test_what_dissolves(name: str, celsius: float, grams: float) -> None:
    assert limit_g_per_l(FORMS[name], celsius) == pytest.approx(grams)


def test_between_two_points_of_solubility() -> None:
    """By hand: half way between 48 and 75 in the logarithm is 60."""
    assert limit_g_per_l(FORMS["borax decahydrate"], 25) == pytest.approx(60)
    assert limit_g_per_l(FORMS["potassium carbonate"], 20) is None
    assert limit_g_per_l(FORMS["citric acid"], 20) is None


def test_other_names_and_unclear_ones() -> None:
    assert form_named("Soda ash").name == "sodium carbonate anhydrous"
    assert form_named("Sodium sulfite, anhydrous").name == "sodium sulphite anhydrous"
    assert form_named("washing-soda (monohydrate)").name == "sodium carbonate monohydrate"
    with pytest.raises(BenchError, match="several forms; write one of: borax decahydrate, borax"):
        form_named("borax")
    with pytest.raises(BenchError, match="no such substance; of substances write one of: sodium"):
        form_named("unobtainium", "of substances ")


def test_measures_of_three_countries() -> None:
    """C: a US quart is 946.353 ml, an imperial pint 568.261 ml, an inch 25.4 mm, a foot 304.8."""
    assert (METRIC.volume(999.4), METRIC.volume(999.6)) == ("999 ml", "1 l")
    assert (US.volume(946), US.volume(947)) == ("32 US fl oz", "1 US quart")
    assert IMPERIAL.volume(568.3) == "1 imperial pint"
    assert (METRIC.volume(1234), METRIC.volume(1235.5)) == ("1.23 l", "1.24 l")
    assert US.volume(946.352946) == "1 US quart"
    assert METRIC.mass(0.001) == "0.001 g"
    assert US.strength(100.2) == "3.34 avoirdupois oz in a US quart"
    assert (METRIC.length(0.9994), US.length(0.3048)) == ("999 mm", "1 ft")
    assert METRIC.volume(0.0009) == "less than 0.001 ml"
    assert US.volume(0.0009) == "less than 0.0001 US fl oz"
    assert IMPERIAL.mass(0.0009) == "less than 0.0001 avoirdupois oz"
    assert METRIC.volume(0.001) == "0.001 ml"
    assert (METRIC.volume(0), METRIC.mass(0)) == ("0 ml", "0 g")
    assert METRIC.mass(0.0009) == "less than 0.001 g"
    assert METRIC.mass(1234.56) == "1235 g"
    assert METRIC.area(0.05161) == "0.0516 m2"
    assert US.area(0.0516128) == "80 sq in"
    assert METRIC.on_film(0.014) == "0.014 g/m2"
    assert US.on_film(1.0) == "0.65 mg/sq in"
    assert US.on_film(0.9995) == "0.64 mg/sq in"
    assert US.on_film(2) == "1.3 mg/sq in"
    assert METRIC.on_film(0.01234) == "0.012 g/m2"
    assert METRIC.strength(217.6) == "218 g/l"
    assert US.strength(100) == "3.34 avoirdupois oz in a US quart"
    assert (METRIC.length(24.384), METRIC.length(0.1626)) == ("24.4 m", "163 mm")
    assert (METRIC.length(1), US.length(0.3049)) == ("1 m", "1 ft")
    assert (US.length(30.48), US.length(0.254)) == ("100 ft", "10 in")
    assert IMPERIAL.temperature(20) == "20.0 °C"
    assert (figures(99.96, 2), figures(-0.0123456)) == ("100", "-0.0123")


def test_vessels_by_hand() -> None:
    """By hand: a floor of 20 x 25 cm is 500 cm2, 90 cm around; of 10 cm across 78.5, 31.4."""
    tray = standing(rectangle(200, 250), 20, "tray")
    assert (tray.cover_ml, tray.open_cm2, tray.wall_cm2) == (1000, 500, 500 + 180)
    assert circle(100) == (pytest.approx(78.54, abs=0.01), pytest.approx(31.416, abs=0.001))
    tall = measured(1000, rectangle(100, 100))
    assert (tall.cover_ml, tall.wall_cm2) == (pytest.approx(1000), pytest.approx(100 + 400))
    assert (measured(500).open_cm2, measured(500).grows, measured(500).warning) == (0, False, "")
    assert (tray.grows, spiral_tank(["135"]).grows, tub(load("120")).grows) == (False, True, True)
    assert "fill with water over the empty reels" in spiral_tank(["120"]).warning
    film = load("16 mm", length_mm=3048)
    standing_ml = 1000 * (15.95 + 10) / 10  # on its edge, 10 mm of bath over it
    assert tub(film, 1000).cover_ml == pytest.approx(standing_ml)
    assert tub(film).cover_ml == pytest.approx(400, rel=1e-3)  # T: 4 l for ten times as much


def test_washing_by_hand() -> None:
    """P: 0.014 g/m2, as quoted; 10 ml in 90 leave a tenth each time; a minute's water a half."""
    assert in_changes(1.4, 2, 90, 10) == (pytest.approx(0.014), 2)
    assert in_changes(0.01, 0, 90, 10) == (0.01, 0)
    assert in_running_water(0.112, 3) == (pytest.approx(0.014), 3)
    assert in_running_water(0.112, 3, 3) == (pytest.approx(0.056), 9)
    assert in_running_water(0.01, 0) == (0.01, 0)
    assert in_changes(1e-5, 0, 90, 10).least == in_running_water(1e-5, 0).least == 0
    assert Washed(0.014, 0).enough
    assert not Washed(0.0141, 0).enough


def test_a_scale_at_its_edges() -> None:
    """T: 2 % off is worth a caution, from half a step on a mass shows."""
    assert weigh(50, 1).error == 0
    assert weigh(24.51, 1).caution() == ""
    assert weigh(24.4, 1).caution() == ""
    assert "2% off here" in weigh(20.45, 1).caution()
    assert weigh(0.49, 1).lost
    assert not weigh(1.5, 1).lost
    assert (
        stock(25, 1, None, 100) == (25, 250, pytest.approx(250)) or stock(25, 1, None, 100) is None
    )
    assert stock(25, 1, None, 100) is None
    assert stock(25, 1, None, 250) == (25, 250, 250)
    assert stock(0.5, 1, None, 10) == (25, 500, 10)
    assert stock(25, 1.0005, None, 250) is None
    assert stock(25, 1, 150, 250) is None  # half of what dissolves is 75 g/l
    assert stock(25, 1, 200, 250) == (25, 250, 250)
    assert stock(0.25, 1, None, 10) == (25, 1000, 10)
    assert stock(0.249, 1, None, 10) is None


@pytest.mark.parametrize(
    ("written", "meant", "expected"),
    [
        ("ash soda", "soda ash", True),
        ("potash ash", "soda ash", False),
        ("soda ash ash", "soda ash", False),
        ("carbonte", "carbonate", True),  # in its ending, which is then no other salt's
        ("carbnate", "carbonate", True),  # one less
        ("carbonnate", "carbonate", True),  # one more
        ("carbomate", "carbonate", True),  # another
        ("carbnoate", "carbonate", True),  # two swapped
        ("carnobate", "carbonate", False),
        ("cabromate", "carbonate", False),  # two slips
        ("karbonate", "carbonate", False),
        ("potas", "potash", True),
        ("pota", "potash", False),
        ("potashs", "potash", True),
        ("potashss", "potash", False),
        ("sulphite", "sulphate", False),
    ],
)
def test_one_slip_of_the_pen(written: str, meant: str, expected: bool) -> None:
    assert misspelt(written, meant) is expected


def taken(*written: str, have: str, factor: float = 1) -> list[list[tuple[float, str]]]:
    """Grams of each form to weigh, and the note, where ``have`` is at hand."""
    listed = [
        dict(zip(("amount", "substance"), each.split(" ", 1), strict=True)) for each in written
    ]
    listed = [each | {"amount": f"{each['amount']} g"} for each in listed]
    recipe = Recipe.read(
        {"title": "R", "bath": "developer", "makes": "1 l", "ingredients": listed}, None
    )
    found = forms_taken(recipe, [FORMS[name] for name in have.split(", ")], factor)
    return [[(each.mass_g, each.note) for each in swaps] for swaps in found.values()]


def test_the_soda_is_set_right_for_the_form_at_hand() -> None:
    """By hand: a mole of soda is 105.99 g, a tenth of the acid 17.61 g, of its salt 19.81 g."""
    soda, acid, salt = "105.9885 sodium carbonate anhydrous", "17.6124 ascorbic acid", "19.8106 "
    less = "adjusted for the alkali that the other form does not use up"
    more = "adjusted for the alkali that the other form uses up"
    (found,), (other,) = taken(soda, acid, have="sodium ascorbate")
    assert found == (pytest.approx(0.9 * 105.9885, abs=0.01), less)
    assert other == (pytest.approx(19.81, abs=0.01), "")
    (found,), (other,) = taken(soda, salt + "sodium ascorbate", have="ascorbic acid", factor=2)
    assert found == (pytest.approx(2.2 * 105.9885, abs=0.02), more)
    assert other == (pytest.approx(35.22, abs=0.01), "")
    with pytest.raises(BenchError, match=r"leaves -10\.6 g of soda that no carbonate takes up"):
        taken(acid, have="sodium ascorbate")
    with pytest.raises(BenchError, match=r"leaves -10\.6 g of soda"):
        taken("10 sodium carbonate anhydrous", acid, have="sodium ascorbate")


def test_forms_at_hand_share_the_work() -> None:
    """By hand: half a mole each of crystals, 286.14 g/mol, and of potash, 138.21."""
    soda = "105.9885 sodium carbonate anhydrous"
    (shared,) = taken(soda, have="sodium carbonate decahydrate, potassium carbonate")
    assert [grams for grams, _ in shared] == pytest.approx([143.07, 69.10], abs=0.01)
    assert taken(soda, have="citric acid") == [[(pytest.approx(105.9885), "")]]
    with pytest.raises(BenchError, match=r"bake 168\.0 g .* all 106\.0 g that remain"):
        taken(soda, have="baking soda")


def test_what_is_dissolved_in_half_a_litre() -> None:
    """By hand: a mole of soda in half a litre, twice."""
    soda = FORMS["sodium carbonate anhydrous"]
    parts = dissolved([(soda, 52.99425), (soda, 52.99425)], 500)
    assert parts == {"sodium": pytest.approx(4, rel=1e-5), "carbonate": pytest.approx(2, rel=1e-5)}


def test_half_of_the_borax_is_neutralised() -> None:
    """By hand: a mole of borax, 381.37 g, brings two of alkali; one of ascorbic acid takes one."""
    met = after_acid([(FORMS["borax decahydrate"], 381.37), (ASCORBIC, 176.12)], 1000)
    assert met is not None
    assert (met.neutralised_g, met.left_g) == pytest.approx((190.69, 190.69), abs=0.05)
    assert met.left_mmol_per_l == pytest.approx(500, abs=0.1)


def test_several_vessels_are_filled_one_by_one() -> None:
    """By hand: two of a litre on floors of 100 cm2 hold two litres, with twice its faces."""
    one = measured(1000, Floor(100, 40))
    two = one.times(2)
    assert one.times(1) == one
    assert (two.cover_ml, two.open_cm2, two.wall_cm2) == (2000, 200, 2 * one.wall_cm2)
    assert two.basis == "2 vessels, measured with water"
    assert (measured(1000).open_cm2, measured(1000).wall_cm2) == (0, 0), "of no known shape"
