"""What is learnt of a person's own knocks: how fast, how loud, and how they sound on that bench."""

import json
from collections.abc import Sequence
from typing import Final, NamedTuple, Self

import numpy as np

from darktimer.knocks.patterns import KnocksHeard
from darktimer.knocks.spectrum import BANDS, Spectra
from darktimer.knocks.strikes import PARTS

#: What one hand's patterns differ by: the logarithm of their pace, that of each rest to the others,
#: their level and that of each knock to the others, and how unlike its timbre their knocks are.
_PACE: Final = 0.093
_RHYTHM: Final = 0.088
_LEVEL_DB: Final = 3.3
_SPREAD_DB: Final = 4.3
_UNLIKE: Final = 0.72
#: How much likelier a knock that is plain is with the timbre, as a logarithm, and by how much less
#: one is so that is not.
_PLAIN: Final = 12.0
_FAINTER: Final = 0.4


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
        fainter = [max(0.0, np.log(_PLAIN / max(1.0, fit.likelier))) for fit in fits]
        differs = [
            off.mean() / _PACE,
            *(off - off.mean()) / _RHYTHM,
            (levels_db.mean() - self.level_db) / _LEVEL_DB,
            *(levels_db - levels_db.mean()) / _SPREAD_DB,
            *np.divide(fainter, _FAINTER),
            *np.divide([fit.unlike for fit in fits], _UNLIKE),
        ]
        return float(np.square(differs).sum())

    @property
    def powers(self) -> Spectra:
        """Those of its bands as it begins, strikes and rings (3, bands)."""
        return np.asarray(10 ** ((self.level_db + self.timbre) / 10))

    def as_json(self) -> str:
        """This as text, which `from_json` reads."""
        return json.dumps({**self._asdict(), "timbre": self.timbre.tolist()})

    @classmethod
    def from_json(cls, text: str) -> Self:
        """What `as_json` wrote."""
        read = json.loads(text)
        return cls(**{**read, "timbre": np.reshape(read["timbre"], (PARTS, BANDS))})


def learn(heard: Sequence[KnocksHeard]) -> Knock:
    """The knock in a few patterns, one or more, whatever they asked."""
    strikes = [strike for each in heard for strike in each.strikes]
    short_s, long_s = np.median([each.short_and_long_s for each in heard], axis=0).tolist()
    level_db = float(np.median([strike.level_db for strike in strikes]))
    return Knock(short_s, long_s, level_db, np.median([s.timbre for s in strikes], axis=0))
