"""What people answer, in the words of the plan language: "two rolls of 120", "68", "32 oz".

A number alone is taken for what it can only mean here. What may mean two things is refused, but for
an ounce of liquid: the US ounce is the larger by 4 %, and covers the film whichever was meant.
"""

import re
from collections.abc import Callable, Iterator, Mapping
from typing import Final

from darktimer.errors import UnreadableError
from darktimer.plan.draft import BEFOREHAND, UNKNOWN
from darktimer.plan.formats import sheet_name
from darktimer.prepare.questions import BACK, QUESTIONS, UNSURE, OtherWordError
from darktimer.units import NUMBER, WORDS, is_none, number, shown, with_scale

_NUMBER: Final = r"[0-9]+(?:\.[0-9]+)?"
_LONGEST_MIN: Final = 60  # a longer bath is written with its unit

_COUNTED: Final = re.compile(rf"({_NUMBER})\s*(?:rolls?|sheets?|pieces?|x|changes?|times|washes)")
_MEASURED: Final = rf"{_NUMBER}\s*(?:rolls?|sheets?|pieces?|x|ft|feet|foot|m|metres?|meters?)"
_OF_FILM: Final = re.compile(rf"({_MEASURED})\s+(?:of\s+)?(.+)")
#: A film, and before or after it a bare number.
_BARE_FILM: Final = re.compile(rf"({_NUMBER})\s+(.+)")
_FILM_OF: Final = re.compile(rf"(.+?)[\s,(]+(?:x\s*)?({_MEASURED}|{_NUMBER})(?:\s*of them)?\)?")
_TWO_NUMBERS: Final = re.compile(r"[0-9]+ [0-9]{1,2}")
_PICTURES: Final = re.compile(r"\b(?:135[ /]([0-9]{2})\b|([0-9]{2}) exp(?:osures?)?\b)")
_REVERSED: Final = re.compile(r"\b(?:revers|positive|slides?\b|diapositive)", re.IGNORECASE)
_SAYS_NO_MORE: Final = re.compile(r"(\s+(roll|rolls|sheets?|film|exp|exposures?|inch))+$")


def in_plan_words(asked: str, answer: str, film: str) -> dict[str, str]:
    """The answer to the question ``asked``, and to another where it holds that too.

    ``film`` is the film so far. Raises `UnreadableError`.
    """
    if asked in ("film", "developer") and _REVERSED.search(answer):
        found = f"{shown(answer)}: these questions are for a negative"
        raise UnreadableError(found, "for a positive begin with darktimer new --positive")
    if asked in ("developer", "fixer", "title"):
        return {asked: answer.strip()}
    if asked == "stock":  # a name, in which no word is a number
        unsure = " ".join(answer.lower().split()) in (UNKNOWN, *UNSURE)
        return {asked: UNKNOWN if unsure else answer.strip()}
    plain = in_figures(answer)
    if asked == "film":
        return _film(plain)
    read = _amount(plain, film) if asked == "amount" else _READERS.get(asked, str)(plain)
    return {asked: QUESTIONS[asked].meant(read)}


def in_figures(answer: str) -> str:
    """Numbers in figures where they were words, and ``a`` as one."""
    text = re.sub(r"\bhalf an?\b", "0.5", answer.strip(), flags=re.IGNORECASE)
    text = re.sub(r"^an?\b", "1", text, flags=re.IGNORECASE)
    for figure, word in enumerate(WORDS):
        text = re.sub(rf"\b{word}\b", str(figure), text, flags=re.IGNORECASE)
    return text


def _film(plain: str) -> dict[str, str]:
    """A format, or so much of one."""
    refused: list[UnreadableError] = []
    for named, amount in _readings(_PICTURES.sub(r"135-\1\2", plain)):
        try:
            film = {"film": _format(_SAYS_NO_MORE.sub("", named))}
        except UnreadableError as error:
            refused.append(error)
        else:
            return film | ({"amount": _plain_amount(amount)} if amount else {})
    one_of_several = (each for each in refused if not isinstance(each, OtherWordError))
    raise next(one_of_several, refused[-1])


def _format(plain: str) -> str:
    """One of those that are offered, or a sheet of other sides; a figure alone is how much."""
    if len(plain) < 2:
        raise OtherWordError(plain, QUESTIONS["film"].words)
    return sheet_name(plain) or QUESTIONS["film"].meant(plain)


def _readings(plain: str) -> Iterator[tuple[str, str]]:
    """What may be the film in an answer, and what the amount, nothing where it has none."""
    yield plain, ""
    if _TWO_NUMBERS.fullmatch(plain):  # 2 12: either may be the film
        return
    for pattern in (_BARE_FILM, _OF_FILM):
        if of := pattern.fullmatch(plain):
            yield of[2], of[1]
    if of := _FILM_OF.fullmatch(plain):
        yield of[1], of[2]


def _amount(plain: str, film: str) -> str:
    """How much of ``film``, which may be named with it."""
    of = _OF_FILM.fullmatch(plain)
    if of and (named := _format(of[2])) != film:
        found = f"{shown(plain)} is of {named}, and the film is {film}"
        raise UnreadableError(found, f"write how much of it, or {BACK} and another film")
    return _plain_amount(of[1] if of else plain)


def _plain_amount(plain: str) -> str:
    counted = _COUNTED.fullmatch(plain.lower())
    return counted[1] if counted else plain


def _time(plain: str) -> str:
    bare = re.fullmatch(NUMBER, plain)
    return f"{plain} min" if bare and 0 < number(plain) <= _LONGEST_MIN else plain


def _loading(plain: str) -> str:
    return BEFOREHAND if is_none(plain) else _time(plain)


def _volume(plain: str) -> str:
    ounces = re.fullmatch(rf"({NUMBER})\s*(?:fl\.?\s*)?(?:oz|ounces?)\.?", plain.lower())
    return f"{ounces[1]} US fl oz" if ounces else plain


_READERS: Final[Mapping[str, Callable[[str], str]]] = {
    "vessel": lambda plain: plain.removeprefix("1 "),
    "loading": _loading,
    "volume": _volume,
    "temperature": with_scale,
    "develop": _time,
    "fix": _time,
    "wash": _time,
    "changes": _plain_amount,
}
