"""An independent solver for the pH of a bath: PHREEQC 3, by phreeqpython, with its pitzer.dat.

That database knows carbonate, borate, hydroxide, halides, sodium and potassium. Of it the sodium
bicarbonate parameters are put back to those of Harvie, Moller & Weare 1984, by which it agrees
with the published buffer, and borate is given the heat of ionization that PHREEQC's own
phreeqc.dat has, since there it does not follow temperature. What it does not know is added here:

- ascorbate: pK 4.17 and 11.79, from memory; as acetate (Pitzer & Mayorga 1973), its
  second ion as a salt of two charges: estimates;
- sulphite: pK 1.86 and 7.20; parameters of Rosenblatt 1981, from memory;
- acetate: pK of Harned & Ehlers 1933; parameters of Pitzer & Mayorga 1973, from memory;
- citrate: pK of Bates & Pinching 1949; parameters estimated after salts of the same charges.

So over carbonate and borate this is a check of our pH; over the four others it is one of the
activities alone, since pK near to ours stand on both sides.
"""

from collections.abc import Iterator, Mapping
from itertools import product
from typing import Final, NamedTuple

from phreeqpython import PhreeqPython

from darktimer.bench.acidity import Acidity, estimate
from darktimer.bench.alkali import dissolved
from darktimer.bench.substances import FORMS

ADDED: Final = """
SOLUTION_MASTER_SPECIES
Asc HAsc- 0 175.12 175.12
Sui Sui-2 0 80.06 80.06
Cit Cit-3 0 189.10 189.10
Ace Ace- 0 59.04 59.04
SOLUTION_SPECIES
B(OH)3 + H2O = B(OH)4- + H+
  log_k -9.239
  delta_h 3.224 kcal
HAsc- = HAsc-
  log_k 0
HAsc- + H+ = H2Asc
  log_k 4.17
HAsc- = Asc-2 + H+
  log_k -11.79
Sui-2 = Sui-2
  log_k 0
Sui-2 + H+ = HSui-
  log_k 7.20
Sui-2 + 2 H+ = H2Sui
  log_k 9.06
Cit-3 = Cit-3
  log_k 0
Cit-3 + H+ = HCit-2
  log_k 6.396
Cit-3 + 2 H+ = H2Cit-
  log_k 11.157
Cit-3 + 3 H+ = H3Cit
  log_k 14.285
Ace- = Ace-
  log_k 0
Ace- + H+ = HAce
  log_k 4.756
PITZER
-MacInnes true
-B0
  HCO3- Na+ 0.0277 0 0 1.00e-3
  HAsc- Na+ 0.1426
  Asc-2 Na+ 0.03
  Sui-2 Na+ 0.08015
  HSui- Na+ 0.0249
  Cit-3 Na+ 0.0887
  HCit-2 Na+ 0.03
  H2Cit- Na+ 0.05
  Ace- Na+ 0.1426
-B1
  HCO3- Na+ 0.0411 0 0 1.10e-3
  HAsc- Na+ 0.22
  Asc-2 Na+ 1.4
  Sui-2 Na+ 1.185
  HSui- Na+ 0.2455
  Cit-3 Na+ 5.22
  HCit-2 Na+ 1.4
  H2Cit- Na+ 0.3
  Ace- Na+ 0.3237
-B2
  HCO3- Na+ 0
-C0
  HAsc- Na+ -0.00629
  Ace- Na+ -0.00629
  Sui-2 Na+ -0.00436
  HSui- Na+ 0.0004
  Cit-3 Na+ -0.047
END
"""
ELEMENTS: Final = {
    "sodium": "Na",
    "potassium": "K",
    "carbonate": "C",
    "borate": "B",
    "ascorbate": "Asc",
    "sulphite": "Sui",
    "citrate": "Cit",
    "acetate": "Ace",
    "chloride": "Cl",
    "bromide": "Br",
}

SODA, POTASH = "sodium carbonate anhydrous", "potassium carbonate"
SULPHITE, BORAX, ASCORBIC = "sodium sulphite anhydrous", "borax decahydrate", "ascorbic acid"
#: Grams in a litre, each of the one with each of the other.
BATHS: Final = (
    {SODA: (1, 5, 10, 20, 46, 80), "baking soda": (0, 5, 20, 40)},
    {SODA: (5, 10, 20, 30, 60, 80), ASCORBIC: (1, 8, 13, 20)},
    {POTASH: (5, 20, 80), ASCORBIC: (0, 2, 16)},
    {BORAX: (1, 5, 10, 20, 30, 40), ASCORBIC: (0, 1, 4)},
    {BORAX: (2, 10, 20), SODA: (1, 5, 20, 46)},
    {SULPHITE: (2, 10, 25, 100), ASCORBIC: (0, 1, 8)},
    {SULPHITE: (10, 50, 100), BORAX: (2, 10)},
    {SULPHITE: (10, 100), SODA: (1, 5, 46)},
    {SODA: (2, 5, 10, 20, 46), "citric acid": (2, 5, 20)},
)
CELSIUS: Final = (15, 20, 25, 30)


class Compared(NamedTuple):
    """One bath: ours against the solver's."""

    grams: dict[str, float]
    celsius: float
    ours: Acidity
    solved: float

    @property
    def difference(self) -> float:
        return self.ours.ph - self.solved


class Solver:
    """PHREEQC with what was added; amounts are those of `darktimer.bench.acidity`, mol/l."""

    def __init__(self) -> None:
        self.phreeqc = PhreeqPython(database="pitzer.dat")
        self.phreeqc.ip.run_string(ADDED)

    def ph(self, parts: Mapping[str, float], celsius: float, units: str = "mol/l") -> float:
        """The pH at which the charges of ``parts`` cancel; ``units`` may be mol/kgw."""
        amounts = {ELEMENTS[part]: amount for part, amount in parts.items()}
        asked = {"temp": celsius, "pH": "9 charge", "units": units, "density": "1 calc", **amounts}
        solution = self.phreeqc.add_solution(asked)
        found = float(solution.pH)
        solution.forget()
        return found

    def grid(self) -> Iterator[Compared]:
        for bath, celsius in product(BATHS, CELSIUS):
            for weighed in product(*bath.values()):
                grams = {name: g for name, g in zip(bath, weighed, strict=True) if g}
                parts = dissolved([(FORMS[name], g) for name, g in grams.items()], 1000)
                yield Compared(grams, celsius, estimate(parts, celsius), self.ph(parts, celsius))
