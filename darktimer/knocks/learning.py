"""What is learnt of a person's own knocks: how fast, how loud, and how they sound on that bench."""

import json
from collections.abc import Sequence
from typing import Final, NamedTuple, Self

import numpy as np

from darktimer.knocks.patterns import KnocksHeard
from darktimer.knocks.strikes import Timbre, middle

#: How far a pattern may be from those learnt: its timbre, its level, its rests as a factor, and
#: one rest against the other as a factor.
_UNLIKE_DB: Final = 2.6
_LEVEL_DB: Final = 10.0
_PACE: Final = 1.28
_RHYTHM: Final = 1.25


class Knock(NamedTuple):
    """A person's knock: its rests in seconds, its level in dB of full scale, and its timbre."""

    short_s: float
    long_s: float
    level_db: float
    timbre: Timbre

    def is_in(self, heard: KnocksHeard) -> bool:
        """Whether a pattern may be this person's."""
        short, long = np.divide(heard.rests_s, (self.short_s, self.long_s))
        return bool(
            max(short, long, 1 / short, 1 / long) <= _PACE
            and max(short / long, long / short) <= _RHYTHM
            and abs(heard.level_db - self.level_db) <= _LEVEL_DB
            and heard.timbre.unlike_db(self.timbre) <= _UNLIKE_DB
        )

    def as_json(self) -> str:
        """This as text, which `from_json` reads."""
        bands_db, noise_db = (each.tolist() for each in self.timbre)
        numbers = {"short_s": self.short_s, "long_s": self.long_s, "level_db": self.level_db}
        return json.dumps({**numbers, "bands_db": bands_db, "noise_db": noise_db})

    @classmethod
    def from_json(cls, text: str) -> Self:
        """What `as_json` wrote."""
        read = json.loads(text)
        timbre = Timbre(*(np.array(read[name], float) for name in ("bands_db", "noise_db")))
        return cls(read["short_s"], read["long_s"], read["level_db"], timbre)


def learn(heard: Sequence[KnocksHeard]) -> Knock:
    """The knock in a few patterns, one or more, whatever they asked."""
    short_s, long_s = np.median([each.rests_s for each in heard], axis=0).tolist()
    level_db = float(np.median([each.level_db for each in heard]))
    return Knock(short_s, long_s, level_db, middle(each.timbre for each in heard))
