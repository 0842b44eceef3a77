"""Prints how far our pH of a bath lies from that of an independent solver, by the doubt we say.

    python -m tests.benchmarks.ph_table

Needs phreeqpython, of the test extra; the baths and what the solver knows are in
`tests/outside/pitzer.py`.
"""

from collections.abc import Sequence

from tests.outside.pitzer import Compared, Solver

COLUMNS = ("doubt said", "baths", "largest difference", "in")


def main() -> None:
    solver = Solver()
    compared = list(solver.grid())
    print(f"| {' | '.join(COLUMNS)} |\n|{'---|' * len(COLUMNS)}")
    for doubt in sorted({each.ours.doubt for each in compared}):
        print(f"| {' | '.join(row(doubt, [e for e in compared if e.ours.doubt == doubt]))} |")
    buffer = solver.ph({"sodium": 0.075, "carbonate": 0.05}, 25, "mol/kgw")
    print(f"\nThe published buffer, pH 10.012: {buffer:.3f} by the solver.")


def row(doubt: float, compared: Sequence[Compared]) -> tuple[str, ...]:
    worst = max(compared, key=lambda each: abs(each.difference))
    bath = ", ".join(f"{grams:g} g/l of {name}" for name, grams in worst.grams.items())
    at = f"{bath}, {worst.celsius:g} °C"
    return f"{doubt:g}", str(len(compared)), f"{worst.difference:+.3f}", at


if __name__ == "__main__":
    main()
