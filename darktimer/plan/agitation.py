"""The ways of moving film or bath that a plan can ask for, as they are written.

A scheme is a word, a share of the time, or a block of keys told apart by the key that only it has.
How a scheme becomes spans of moving and standing is the compiler's business.
"""

import re
from collections.abc import Mapping
from fractions import Fraction
from typing import Annotated, Any, ClassVar, Final, Literal

from darktimer.document import Document, Field, Section
from darktimer.document.fields import MadeBy, found
from darktimer.document.quantities import Duration, Few, Many, Share, YesNo
from darktimer.document.section import one_of, read_by_kind
from darktimer.errors import UnreadableError, did_you_mean
from darktimer.units import clock, share


class Continuous(Section):
    """The film is moved all the time."""

    words: ClassVar = "continuous agitation"


class Stand(Section):
    """An opening agitation, then the film stands."""

    words: ClassVar = "stand"


class Still(Section):
    """The film is not moved at all, written ``none``."""

    words: ClassVar = "no agitation"


class TurnedOver(Section):
    """The film is turned over when half of the time is gone; what a plan does not write."""

    words: ClassVar = "turned over half way"


class ShareOfTime(Section):
    """The film is moved for an exact share of the step's time, a bout in each cycle."""

    share: Share
    cycle: Duration = 60_000

    @property
    def words(self) -> str:
        """Such as ``half agitation``, or ``1/3 agitation in cycles of 2:00``."""
        share = "half" if self.share == Fraction(1, 2) else str(self.share)
        cycle = "" if self.cycle == 60_000 else f" in cycles of {clock(self.cycle)}"
        return f"{share} agitation{cycle}"


class Inversions(Section):
    """So many turns within a time, at every interval or at given moments, after an opening."""

    inversions: Few
    within: Duration = 10_000
    every: Duration | None = None
    at: tuple[Duration, ...] = ()

    @property
    def words(self) -> str:
        """Such as ``2 inversions in 0:05 every 1:00``."""
        moments = f"at {', '.join(map(clock, self.at))}" if self.at else ""
        when = f"every {clock(self.every)}" if self.every else moments
        return f"{self.inversions} inversions in {clock(self.within)} {when}".rstrip()


#: The cue that begins or ends moving takes 600 ms at most (a rule of cue sets), and half a second
#: is quiet after it. In a bout of turns it asks for none of them.
LEAST_SPAN_MS: Final = 1_100
#: Each turn begins with a tick of its own, of 900 ms at most, and half a second after that.
LEAST_TURN_MS: Final = 1_400


class Rotation(Section):
    """Continuous rotation, turned the other way at every interval."""

    reverse_every: Duration

    @property
    def words(self) -> str:
        """Such as ``rotation, reversed every 0:30``."""
        return f"rotation, reversed every {clock(self.reverse_every)}"


class Shuffle(Section):
    """Sheets in a tray, drawn from bottom to top one after another, round after round."""

    shuffle_each: Duration
    rounds: Many | None = None
    tell_rounds: YesNo = Field(False, description="whether a round's first sheet sounds otherwise")

    @property
    def words(self) -> str:
        """Such as ``shuffle, 0:05 a sheet``, with how many rounds where that is written."""
        rounds = f", {self.rounds} rounds" if self.rounds else ""
        return f"shuffle, {clock(self.shuffle_each)} a sheet{rounds}"


Scheme = Continuous | Stand | Still | TurnedOver | ShareOfTime | Inversions | Rotation | Shuffle

_WORDS: Final[dict[str, type[Continuous | Stand | Still]]] = {
    "continuous": Continuous,
    "stand": Stand,
    "none": Still,
}
_BLOCKS: Final[dict[str, type[ShareOfTime | Inversions | Rotation | Shuffle]]] = {
    "share": ShareOfTime,
    "inversions": Inversions,
    "reverse every": Rotation,
    "shuffle each": Shuffle,
}


#: Names for ways of agitation, each with how a plan writes it; a plan's own writing does as well.
#: Inversions for 5 s of each minute, after 30 s at first: Navy training manual 14209; two turns
#: are as many as hands do in 5 s without haste (common practice, no source).
WAYS: Final[Mapping[str, str]] = {
    "inversions": "{inversions: 2, within: 5 s, every: 1 min}",
    "half": "1/2",
    "continuous": "continuous",
    "stand": "stand",
    "rotation": "{reverse every: 30 s}",
    "shuffle": "{shuffle each: 5 s}",
}
_WRITTEN: Final = ", ".join([*_WORDS, *(WAYS[way] for way in ("half", "inversions", "rotation"))])
_MOVING: Final = "inver|turn|every|shak|tilt"
#: What people call the ways of agitation, and which one that is.
_SIGNS: Final = {
    "^(no|off|never)$": "none",
    "const|always|all the time": WAYS["continuous"],
    "half": WAYS["half"],
    _MOVING: WAYS["inversions"],
    "rotat|roll": WAYS["rotation"],
    "shuffl": WAYS["shuffle"],
}


def _read(raw: Any, document: Document | None) -> Any:
    if isinstance(raw, Section):
        return raw
    if isinstance(raw, dict):
        return _read_block(raw, document)
    if isinstance(raw, list):
        raise UnreadableError(found(raw), "write one way of agitation")
    word = raw.strip().lower()
    if word in _WORDS:
        return _WORDS[word]()
    # 1/2 alone is a share in the usual cycle.
    if word[:1].isnumeric() and not re.search(_MOVING, word):
        return ShareOfTime(share=share(raw))
    remedy = f"{_hint(word)}write {_WRITTEN}, or {WAYS['shuffle']}"
    raise UnreadableError(found(raw), remedy)


def _hint(word: str) -> str:
    """The way of agitation that was meant, where that can be told."""
    meant = next((way for sign, way in _SIGNS.items() if re.search(sign, word)), None)
    return f"did you mean {meant}? " if meant else did_you_mean(word, _WORDS, cutoff=0.7)


def _read_block(raw: dict[str, Any], document: Document | None) -> Any:
    if block := read_by_kind(raw, _BLOCKS, document, "a way of agitation"):
        return block
    near = one_of(next(iter(raw), ""), [f"{key}: ..." for key in _BLOCKS])
    raise UnreadableError("these keys do not say how the film is moved", near)


Agitation = Annotated[
    Scheme,
    MadeBy(
        _read,
        (
            Literal["continuous", "stand", "none"]
            | Share
            | ShareOfTime
            | Inversions
            | Rotation
            | Shuffle
        ),
    ),
]
