"""What is learnt of a person's own knocks: how fast, how loud, and how they sound on that bench."""

import json
from collections.abc import Sequence
from typing import Final, NamedTuple, Self

import numpy as np

from darktimer.knocks.patterns import KnocksHeard
from darktimer.knocks.strikes import Strike

#: How far a knock may be from those learnt: its bands, its level, and its rests as a factor.
_UNLIKE_DB: Final = 6.0
_LEVEL_DB: Final = 10.0
_PACE: Final = 1.35


class Knock(NamedTuple):
    """A person's knock: its rests in seconds, its level, its bands and the noise in them, in dB."""

    short_s: float
    long_s: float
    level_db: float
    bands_db: tuple[float, ...]
    noise_db: tuple[float, ...]

    def is_like(self, strike: Strike) -> bool:
        """Whether a strike may be this knock."""
        if abs(strike.level_db - self.level_db) > _LEVEL_DB:
            return False
        return strike.unlike_db(np.array(self.bands_db), np.array(self.noise_db)) <= _UNLIKE_DB

    def has_pace(self, heard: KnocksHeard) -> bool:
        """Whether a pattern goes as fast as this person knocks."""
        pairs = zip(heard.rests_s, (self.short_s, self.long_s), strict=True)
        return all(1 / _PACE <= rest_s / own_s <= _PACE for rest_s, own_s in pairs)

    def as_json(self) -> str:
        """This as text, which `from_json` reads."""
        return json.dumps(self._asdict())

    @classmethod
    def from_json(cls, text: str) -> Self:
        """What `as_json` wrote; raises `ValueError`, `TypeError` where it did not."""
        read = json.loads(text)
        bands_db, noise_db = (tuple(map(float, read.pop(k))) for k in ("bands_db", "noise_db"))
        return cls(**{k: float(v) for k, v in read.items()}, bands_db=bands_db, noise_db=noise_db)


def learn(heard: Sequence[KnocksHeard]) -> Knock:
    """The knock in a few patterns, one or more: the middle of each figure, whatever they asked."""
    strikes = [strike for each in heard for strike in each.strikes]
    short_s, long_s = np.median([each.rests_s for each in heard], axis=0)
    return Knock(
        short_s=float(short_s),
        long_s=float(long_s),
        level_db=float(np.median([strike.level_db for strike in strikes])),
        bands_db=tuple(np.median([strike.bands_db for strike in strikes], axis=0).tolist()),
        noise_db=tuple(np.median([strike.noise_db for strike in strikes], axis=0).tolist()),
    )
