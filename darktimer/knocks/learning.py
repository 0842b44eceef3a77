"""What is learnt of a person's own knocks: how fast, how loud, and how they sound on that bench."""

import json
from collections.abc import Sequence
from typing import Final, NamedTuple, Self

import numpy as np

from darktimer.knocks.patterns import KnocksHeard
from darktimer.knocks.spectrum import Spectra
from darktimer.knocks.strikes import Strike

#: What one hand's patterns differ by: the logarithm of their pace, that of each rest to the others,
#: their level, and what each knock has that its timbre has not.
_PACE: Final = 0.09
_RHYTHM: Final = 0.09
_LEVEL_DB: Final = 3.2
_LEFT_DB: Final = 1.3
_SPREAD_DB: Final = 5.0
#: What a knock explains of a strike at the least, in squares of dB.
_EXPLAINED: Final = 0.4
#: So much softer than what was learnt one may be.
_SOFT_DB: Final = 5.0


class Knock(NamedTuple):
    """A person's knock: its rests in seconds, its level in dB of full scale, and its timbre."""

    short_s: float
    long_s: float
    level_db: float
    timbre: Spectra

    def strangeness(self, heard: KnocksHeard) -> float:
        """How far a pattern is from this person's: squares of what one hand's differ by, summed."""
        own_s = [self.long_s if long else self.short_s for long in heard.long]
        off = np.log(np.divide(heard.rests_s, own_s))
        fits = [strike.fitted(self.timbre) for strike in heard.strikes]
        levels_db = np.array([fit.level_db for fit in fits])
        differs = [
            off.mean() / _PACE,
            *(off - off.mean()) / _RHYTHM,
            (levels_db.mean() - self.level_db) / _LEVEL_DB,
            *(levels_db - levels_db.mean()) / _SPREAD_DB,
            np.mean([fit.left for fit in fits]) ** 0.5 / _LEFT_DB,
        ]
        return float(np.square(differs).sum())

    def explains(self, strike: Strike) -> bool:
        """Whether it would be stranger without this knock than with it."""
        fit = strike.fitted(self.timbre)
        return fit.without - fit.left > _EXPLAINED

    @property
    def soft(self) -> Spectra:
        """The powers of its bands as it strikes, at the softest."""
        return np.asarray(10 ** ((self.level_db - _SOFT_DB + self.timbre[0]) / 10))

    def as_json(self) -> str:
        """This as text, which `from_json` reads."""
        return json.dumps({**self._asdict(), "timbre": self.timbre.tolist()})

    @classmethod
    def from_json(cls, text: str) -> Self:
        """What `as_json` wrote."""
        read = json.loads(text)
        return cls(**{**read, "timbre": np.array(read["timbre"], float)})


def learn(heard: Sequence[KnocksHeard]) -> Knock:
    """The knock in a few patterns, one or more, whatever they asked."""
    strikes = [strike for each in heard for strike in each.strikes]
    short_s, long_s = np.median([each.short_and_long_s for each in heard], axis=0).tolist()
    level_db = float(np.median([strike.level_db for strike in strikes]))
    return Knock(short_s, long_s, level_db, np.median([s.timbre for s in strikes], axis=0))
