"""A bath kept from another evening, and whether it serves again.

Knows what the journal says of it. Knows no recipe.
"""

from typing import Final, NamedTuple

from darktimer.bench.film import FilmLoad
from darktimer.bench.unit_system import UnitSystem
from darktimer.plan.formats import ROLL_M2
from darktimer.units import clock

_SQUARE_MILLIMETRE: Final = 1e-6  # m2: what is left of a bath is known no finer


class BathAtHand(NamedTuple):
    """A bath kept from another evening: ``against`` says why it is not to be used, if anything.

    ``left_m2`` is the film it can still take, ``cleared_ms`` the clearing time last noted; None
    where that is not known.
    """

    name: str
    volume_ml: float
    left_m2: float | None
    against: tuple[str, ...] = ()
    cleared_ms: int | None = None

    def serves(self, fill_ml: float, film: FilmLoad) -> bool:
        """Whether it is known to serve, so that none is to be mixed."""
        enough = self.left_m2 is not None and self._takes(self.left_m2, film)
        return not self.against and self.volume_ml >= fill_ml and enough

    def after(self, film_m2: float) -> "BathAtHand":
        """What it can still take once this much film has gone through it."""
        return self._replace(left_m2=None if self.left_m2 is None else self.left_m2 - film_m2)

    @staticmethod
    def _takes(left_m2: float, film: FilmLoad) -> bool:
        return film.area_m2 < left_m2 + _SQUARE_MILLIMETRE

    def text(self, fill_ml: float, film: FilmLoad, say: UnitSystem) -> str:
        """Whether to use it, or why to mix afresh."""
        cleared = f", last cleared in {clock(self.cleared_ms)}" if self.cleared_ms else ""
        head = f"{say.volume(self.volume_ml)} of it are kept{cleared}"
        if self.against:
            return f"{head}, but not to be used: {'; '.join(self.against)}; mix it fresh"
        if self.volume_ml < fill_ml:
            missing = say.volume(fill_ml - self.volume_ml)
            return f"{head}, {missing} too little; mix it fresh"
        if self.left_m2 is None:
            unknown = "its remaining capacity is not known: find the clearing time first"
            return f"{head}; {unknown}, and mix it fresh if that has doubled"
        good_for = f"{head}, good for {self.left_m2 / ROLL_M2:.1f} more rolls"
        if not self._takes(self.left_m2, film):
            return f"{good_for} and this is {film.rolls:.1f}; mix it fresh"
        return f"{good_for}: use it, and mix none"
