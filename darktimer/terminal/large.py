"""A time in figures five lines high, to be read from where the hands are."""

from typing import Final

#: Each figure as five rows of three; a dot is nothing.
_FIGURES: Final = {
    "0": "### #.# #.# #.# ###",
    "1": ".#. ##. .#. .#. ###",
    "2": "### ..# ### #.. ###",
    "3": "### ..# ### ..# ###",
    "4": "#.# #.# ### ..# ..#",
    "5": "### #.. ### ..# ###",
    "6": "### #.. ### #.# ###",
    "7": "### ..# ..# ..# ..#",
    "8": "### #.# ### #.# ###",
    "9": "### #.# ### ..# ###",
    ":": ". # . # .",
}
_DRAWN: Final = {"#": "██", ".": "  "}


def large(time: str) -> list[str]:
    """Five lines that show a time such as ``12:30``."""
    rows = zip(*(_FIGURES[figure].split() for figure in time), strict=True)
    return ["  ".join("".join(_DRAWN[dot] for dot in part) for part in row) for row in rows]
