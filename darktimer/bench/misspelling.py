"""Whether a name is a slip of the pen for the name of a substance, and not another substance.

A sulphate is one letter from a sulphite, nitric acid from citric acid: what is near in letters may
be far apart in the bath. Knows how names are formed, and no substance.
"""

from itertools import permutations
from typing import Final

#: What tells the salts of one element apart; two that differ here are two substances.
_ENDINGS: Final = ("ate", "ite", "ide", "ic", "ous", "ine", "ium")


def misspelt(written: str, meant: str) -> bool:
    """Whether ``written`` is ``meant`` with its words in another order, or one slip in each."""
    one, other = written.split(), meant.split()
    return len(one) == len(other) and any(
        all(map(_slip, one, each)) for each in permutations(other)
    )


def _slip(written: str, meant: str) -> bool:
    """Whether a word has one letter more, one less, another one, or two that are swapped.

    The first letter and the ending must be right: they are what other substances differ in.
    """
    if written == meant:
        return True
    if written[0] != meant[0] or _ending(written) not in ("", _ending(meant)):
        return False
    at = next((i for i, (a, b) in enumerate(zip(written, meant, strict=False)) if a != b), None)
    if at is None:
        return abs(len(written) - len(meant)) == 1
    rest, wanted = written[at:], meant[at:]
    swapped = rest[1::-1] + rest[2:]
    return wanted in (rest[1:], swapped) or wanted[1:] in (rest, rest[1:])


def _ending(word: str) -> str:
    return next((each for each in _ENDINGS if word.endswith(each)), "")
