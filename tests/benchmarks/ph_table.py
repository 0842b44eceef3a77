"""Prints how far our pH of a bath lies from that of an independent solver, by its uncertainty.

    python -m tests.benchmarks.ph_table

Needs phreeqpython, of the test extra; the baths and what the solver knows are in
`tests/outside/pitzer.py`.
"""

from collections.abc import Sequence

from tests.outside.pitzer import Compared, Solver

COLUMNS = ("uncertainty", "baths", "largest difference", "in")


def main() -> None:
    solver = Solver()
    compared = list(solver.grid())
    print(f"| {' | '.join(COLUMNS)} |\n|{'---|' * len(COLUMNS)}")
    for band in sorted({each.ours.uncertainty for each in compared}):
        print(f"| {' | '.join(row(band, [e for e in compared if e.ours.uncertainty == band]))} |")
    buffer = solver.ph({"sodium": 0.075, "carbonate": 0.05}, 25, "mol/kgw")
    print(f"\nThe published buffer, pH 10.012: {buffer:.3f} by the solver.")


def row(uncertainty: float, compared: Sequence[Compared]) -> tuple[str, ...]:
    worst = max(compared, key=lambda each: abs(each.difference))
    bath = ", ".join(f"{grams:g} g/l of {name}" for name, grams in worst.grams.items())
    at = f"{bath}, {worst.celsius:g} °C"
    return f"{uncertainty:g}", str(len(compared)), f"{worst.difference:+.3f}", at


if __name__ == "__main__":
    main()
