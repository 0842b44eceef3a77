"""The questions from whose answers a plan is drafted, and the words that answer them."""

import re
from collections.abc import Mapping
from types import MappingProxyType
from typing import Any, Final, NamedTuple, get_args

from darktimer.document.section import one_of
from darktimer.errors import DarktimerError, FileError, UnreadableError, did_you_mean
from darktimer.plan.agitation import WAYS
from darktimer.plan.draft import BEFOREHAND, BETWEEN, UNKNOWN
from darktimer.plan.film import LIGHT, VesselKind
from darktimer.plan.formats import ALSO_CALLED, FORMATS
from darktimer.units import shown


class OtherWordError(UnreadableError):
    """An answer that is none of a question's words; ``shortly`` is for who was shown them."""

    def __init__(self, answer: str, words: tuple[str, ...]) -> None:
        found = f"{shown(answer)} is none of these"
        super().__init__(found, one_of(answer, words))
        near = did_you_mean(answer, words, cutoff=0.5).strip()
        self.shortly = f"{found}; {near}" if near else f"{found}."


class Question(NamedTuple):
    """What is asked, in a few words; what it means; the words that answer it, alone or not.

    ``said`` are other words for some of these, in small letters, as people say them.
    What else answers it is read in ``darktimer.prepare.answers``.
    """

    asks: str
    means: str
    words: tuple[str, ...] = ()
    only: bool = True
    said: Mapping[str, str] = MappingProxyType({})

    def meant(self, answer: str) -> str:
        """The one word that is meant, whatever its capitals and spaces, however it is cut short.

        One of two parts, as 135-36 is, is meant by its second too.

        Raises `UnreadableError` where it may be one of several, or is none and must be one.
        """
        plain = squeezed(self.said.get(answer.strip().lower(), answer))
        begun = [word for word in self.words if plain and _begins(word, plain)]
        meant = [word for word in begun if squeezed(word) == plain] or begun
        if len(meant) > 1:
            found = f"{shown(answer)} may be {' or '.join(meant)}"
            raise UnreadableError(found, "write one of them")
        if self.words and self.only and not meant:
            raise OtherWordError(answer, self.words)
        return meant[0] if meant else answer.strip()

    def wrong(self, error: DarktimerError) -> str:
        """What is wrong with an answer; its place in a file is nothing to somebody who answers."""
        if not isinstance(error, FileError):
            return str(error)
        found = "; ".join(dict.fromkeys(f"{fault.found}; {fault.remedy}" for fault in error.faults))
        return found if self.only else f"{found}; or a word: {', '.join(self.words)}"


def _begins(word: str, plain: str) -> bool:
    return squeezed(word).startswith(plain) or plain in re.split("[ -]", word)[1:]


def squeezed(text: str) -> str:
    """Text without its blanks and capitals."""
    return "".join(text.split()).lower()


def _words(kind: Any) -> tuple[str, ...]:
    """The words that a choice of the plan language allows."""
    return get_args(kind)


def _of(measure: str) -> str:
    """The formats whose amount is told by that key, each with what else it is called."""
    return ", ".join(
        f"{name} ({ALSO_CALLED[name]})" if name in ALSO_CALLED else name
        for name, each in FORMATS.items()
        if each.measure == measure
    )


#: A room is no vessel to process film in.
_VESSELS: Final = tuple(kind for kind in _words(VesselKind) if kind != "room")
#: What people say who do not know.
UNSURE: Final = dict.fromkeys(("?", "don't know", "i don't know", "not sure", "no idea"), UNKNOWN)

#: A question for each answer that a draft wants; each is an option too.
QUESTIONS: Final = {
    "film": Question(
        "Film",
        "Such as 2 rolls of 120; 35 mm for a still camera is 135-36, 135-24 or 135-12. "
        f"Rolls: {_of('count')}. Sheets: {_of('sheets')}, or any other by its sides. "
        f"Motion-picture film: {_of('length')}.",
        (*FORMATS,),
        # Most rolls are of 36, and what is enough for those is enough for any.
        said={
            "135": "135-36",
            "double 8": "double-8",
            **{also: name for name, also in ALSO_CALLED.items()},
        },
    ),
    "amount": Question(
        "How much film", "Rolls and sheets by number, motion-picture film such as 100 ft."
    ),
    "stock": Question(
        "Which film it is",
        f"What you call it, such as what is printed on its edge, for the journal; or {UNKNOWN}.",
        (UNKNOWN,),
        only=False,
        said=UNSURE,
    ),
    "exposed-at": Question(
        "Exposed at",
        f"The exposure index that the meter was set to, such as 200 or 200/24; or {UNKNOWN}.",
        (UNKNOWN,),
        only=False,
        said=UNSURE,
    ),
    "vessel": Question("Vessel", f"One of: {', '.join(_VESSELS)}.", _VESSELS),
    "light": Question(
        "Open or closed",
        f"closed: in the light once the film is loaded. open: {LIGHT['open']}.",
        ("open", "closed"),
    ),
    "loading": Question(
        "Time to load the film",
        f"By hand, in the dark; or {BEFOREHAND}: it is in its closed vessel before you start.",
        (BEFOREHAND,),
        only=False,
    ),
    "volume": Question(
        "Volume",
        f"What covers the film, measured with water, such as 500 ml or 16 oz; or {UNKNOWN}.",
        (UNKNOWN,),
        only=False,
        said=UNSURE,
    ),
    "developer": Question("Developer", "Its name. darktimer mix looks for a recipe of that name."),
    "temperature": Question("Temperature", "Of the baths, such as 20 C or 68 F."),
    "develop": Question(
        "Time in the developer",
        "From its label, your notes or a test, such as 7:30. The usual time is a guess.",
    ),
    "agitation": Question(
        "How the film is moved",
        "inversions: for 30 s, then 2 within 5 s of every minute. half: half of each minute. "
        "continuous. stand: at the start only. rotation: turned round every 30 s. shuffle: sheets "
        "in a tray. Or as a plan writes it: 1/3, {inversions: 3, within: 8 s, every: 2 min}.",
        tuple(WAYS),
        only=False,
    ),
    "between": Question(
        "Between developer and fixer",
        "rinse: plain water. stop: an acid bath.",
        BETWEEN,
        said={
            **dict.fromkeys(("water", "plain water", "water rinse"), "rinse"),
            **dict.fromkeys(("acid", "acid bath", "stop bath"), "stop"),
        },
    ),
    "fixer": Question("Fixer", "Its name, as that of the developer."),
    "clearing": Question(
        "Clearing time",
        f"In which a scrap of this film turns clear in the fixer, in the light; or {UNKNOWN}.",
        (UNKNOWN,),
        only=False,
        said=UNSURE,
    ),
    "fix": Question("Time in the fixer", "At least twice the clearing time."),
    "wash": Question("Time of each wash", "In plain water, such as 2 min."),
    "changes": Question("How many washes", "Each in fresh water; practice asks for 10 to 12."),
    "title": Question("Title", "What to call the plan."),
}
BACK: Final = "back"
#: How the question for the amount is put, and what it means, by what measures the film.
AMOUNTS: Final = {
    "count": ("How many rolls", "That are processed together."),
    "sheets": ("How many sheets", "That are processed together."),
    "length": (
        "How long is the film",
        f"Motion-picture film, such as 100 ft or 30 m. Is it a 35 mm roll of pictures? {BACK}, "
        "then 135-36.",
    ),
}
