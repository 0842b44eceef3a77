"""Chemistry of the bench against published figures and two libraries.

Marks: P read in a published source or a public copy of it, C computed from published constants,
T common practice with no source, M from memory.
"""

import re

import periodictable
import pytest
from scipy.optimize import brentq

from darktimer.bench.acidity import _balanced_ph, estimate
from darktimer.bench.alkali import after_acid, dissolved
from darktimer.bench.replacement import replace, to_bake
from darktimer.bench.solubility import limit_g_per_l
from darktimer.bench.substances import FORMS, form_named, molar_mass

SODA = FORMS["sodium carbonate anhydrous"]
ACID = FORMS["ascorbic acid"]

# C: g/mol from standard atomic weights.
MOLAR_MASSES = {
    "sodium carbonate anhydrous": 105.9885,
    "sodium carbonate monohydrate": 124.0038,
    "sodium carbonate decahydrate": 286.1414,
    "baking soda": 84.0067,
    "potassium carbonate": 138.2056,
    "ascorbic acid": 176.1244,
    "sodium ascorbate": 198.1062,
    "borax decahydrate": 381.3722,
    "sodium thiosulphate pentahydrate": 248.1838,
    "ammonium thiosulphate": 148.2047,
    "citric acid": 192.1238,
}


@pytest.mark.parametrize(("name", "mass"), MOLAR_MASSES.items())
def test_molar_masses_as_quoted(name: str, mass: float) -> None:
    assert molar_mass(FORMS[name]) == pytest.approx(mass, abs=1e-4)


@pytest.mark.parametrize("form", FORMS.values(), ids=FORMS)
def test_both_libraries_agree_on_every_form(form) -> None:
    """molmass, which the program uses, against periodictable, which it does not."""
    plain = re.sub(r"\.\(H2O\)(\d+)", r"+\1H2O", form.formula).replace(".H2O", "+H2O")
    assert molar_mass(form) == pytest.approx(periodictable.formula(plain).mass, rel=1e-4)


@pytest.mark.parametrize(
    ("have", "grams"),
    [  # C, within 0.05 %
        ("sodium carbonate decahydrate", 124.19),
        ("sodium carbonate monohydrate", 53.82),
        ("potassium carbonate", 59.98),
    ],
)
def test_46_g_of_anhydrous_washing_soda_in_other_forms(have: str, grams: float) -> None:
    assert replace(SODA, 46, FORMS[have]).mass_g == pytest.approx(grams, rel=5e-4)


def test_100_g_of_baking_soda_bakes_to_63_g_of_washing_soda() -> None:
    """C: 2 NaHCO3 -> Na2CO3 + H2O + CO2."""
    assert to_bake(SODA, 63.08) == pytest.approx(100, abs=0.03)


def test_13_g_of_ascorbic_acid_eats_soda_that_its_salt_does_not() -> None:
    """C: 7.82 g of anhydrous soda to bicarbonate; 14.62 g of sodium ascorbate."""
    salt = replace(ACID, 13, FORMS["sodium ascorbate"])
    assert salt.mass_g == pytest.approx(14.62, abs=0.02)
    assert salt.soda_g == pytest.approx(-7.82, abs=0.02)
    bath = after_acid([(SODA, 46), (ACID, 13)], 1000)
    assert bath is not None
    assert bath.neutralised_g == pytest.approx(7.82, abs=0.02)
    assert bath.left_g == pytest.approx(46 - 7.82, abs=0.02)


def test_citric_acid_gives_three_protons_and_acetic_one() -> None:
    """P: their pK lie below that of bicarbonate; C: a mole of citric acid eats three of soda."""
    for name, mass, protons in (("citric acid", 192.1238, 3), ("acetic acid", 60.052, 1)):
        met = after_acid([(SODA, 5 * 105.9885), (form_named(name), mass)], 1000)
        assert met is not None
        assert met.neutralised_g == pytest.approx(protons * 105.9885, rel=1e-4)
        assert met.left_mmol_per_l == pytest.approx(1000 * (5 - protons), rel=1e-4)


def _ideal_ph(parts: dict[str, float]) -> float:
    """With every activity taken as 1: what the tables have, and what the sheet never shows."""
    return _balanced_ph(parts, 298.15, 0.0)


def test_the_carbonate_buffer_of_the_national_bureau_of_standards() -> None:
    """P: 0.025 + 0.025 molal at 25 C is pH 10.012; NBS J. Res. 73A:37."""
    buffer = {"sodium": 0.075, "carbonate": 0.05}
    assert estimate(buffer, 25).ph == pytest.approx(10.012, abs=0.03)


@pytest.mark.parametrize(
    ("celsius", "ph"), [(0, 10.32), (10, 10.18), (20, 10.07), (25, 10.02), (30, 9.97)]
)
def test_the_same_buffer_at_other_temperatures(celsius: float, ph: float) -> None:
    """P: the table quoted for JIS Z 8802."""
    assert estimate({"sodium": 0.075, "carbonate": 0.05}, celsius).ph == pytest.approx(ph, abs=0.03)


@pytest.mark.parametrize(
    ("masses", "ideal", "davies", "within"),
    [  # C: pK as in test_bench_ph, Davies' activities
        ({"soda 0.1 mol": 10.59885}, 11.655, 11.389, 0.01),
        ({"baking soda": 8.40067}, 8.340, 8.125, 0.01),
    ],
)
def test_ph_of_common_baths(masses, ideal: float, davies: float, within: float) -> None:
    forms = [
        (SODA if name.startswith("soda ") else form_named(name), g) for name, g in masses.items()
    ]
    parts = dissolved(forms, 1000)
    assert _ideal_ph(parts) == pytest.approx(ideal, abs=within)
    assert estimate(parts).ph == pytest.approx(davies, abs=within)


@pytest.mark.parametrize(
    ("soda_g", "acid_g", "celsius", "ph"),
    [  # C: PHREEQC 3 with pitzer.dat (Harvie, Moller & Weare 1984); the pairs are nobody's recipe
        (46, 13, 20, 10.31),
        (46, 13, 25, 10.27),
        (30, 8, 20, 10.42),
        (60, 10, 20, 10.50),
        (20, 16, 20, 9.84),
        (80, 20, 20, 10.25),
    ],
)
def test_ph_of_soda_with_ascorbic_acid(soda_g, acid_g, celsius: float, ph: float) -> None:
    parts = dissolved([(SODA, soda_g), (ACID, acid_g)], 1000)
    assert estimate(parts, celsius).ph == pytest.approx(ph, abs=0.2)


def test_charge_balance_against_a_root_finder_of_scipy() -> None:
    """C: the carbonate system alone, written out by hand and solved by scipy.optimize.brentq."""
    k1, k2, kw, total = 10**-6.3511, 10**-10.3297, 10**-13.995, 0.1

    def charge(ph: float) -> float:
        h = 10**-ph
        whole = h * h + k1 * h + k1 * k2
        return 2 * total + h - kw / h - total * (k1 * h + 2 * k1 * k2) / whole

    ideal = _ideal_ph({"sodium": 0.2, "carbonate": 0.1})
    assert ideal == pytest.approx(brentq(charge, 2, 14), abs=0.005)


@pytest.mark.parametrize(
    ("celsius", "g_per_l"),
    [
        (0, 70),  # P, Wikipedia, Sodium carbonate, as are the next three; the table holds them
        (15, 164),
        (27.8, 341),
        (34.8, 487),
        (20, 215),  # M: between the points of the table
        (25, 294),  # M, likewise
    ],
)
def test_how_much_washing_soda_dissolves(celsius: float, g_per_l: float) -> None:
    assert limit_g_per_l(SODA, celsius) == pytest.approx(g_per_l, rel=0.05)


@pytest.mark.parametrize(
    ("name", "mineral", "element", "atoms"),
    [("baking soda", "Nahcolite", "C", 1), ("borax decahydrate", "Borax", "B", 4)],
)
def test_what_dissolves_at_25_celsius(name: str, mineral: str, element: str, atoms: int) -> None:
    """C: PHREEQC 3 with pitzer.dat, there after Harvie, Moller & Weare 1984, Felmy & Weare 1986.

    A kilogram of water with as much of the mineral as it takes; litres by M: 1 l for the
    bicarbonate's water, 1.036 l for a solution of borax of 1.025 g/ml.
    """
    solver = pytest.importorskip("phreeqpython").PhreeqPython(database="pitzer.dat")
    solver.ip.run_string(
        f"SOLUTION 1\n temp 25\nEQUILIBRIUM_PHASES 1\n {mineral} 0 20\n"
        f"SELECTED_OUTPUT\n -reset false\n -totals {element}\n -water true\nEND\n"
    )
    *_, (water_kg, per_kg) = solver.ip.get_selected_output_array()
    grams = water_kg * per_kg / atoms * molar_mass(FORMS[name])
    litres = {"Nahcolite": 1.0, "Borax": 1.036}[mineral]
    assert limit_g_per_l(FORMS[name], 25) == pytest.approx(grams / litres, rel=0.05)
