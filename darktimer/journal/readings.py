"""What was read of a strip, as a person gave it, and as a row of results keeps it.

Kept are the readings, never what was computed of them.
"""

import json
from typing import NamedTuple

from darktimer.journal.refusal import JournalError
from darktimer.sensitometry.refusal import SensitometryError
from darktimer.sensitometry.strip import READING, Strip, lux_seconds, strip, tablet


class Readings(NamedTuple):
    """Densities, and their exposures: a tablet such as ``21 x 0.15``, or lux seconds.

    ``base_fog`` was read beside the strip, if it was; ``uncertainty`` is that of each reading.
    """

    densities: tuple[float, ...]
    exposures: str | tuple[float, ...]
    base_fog: float | None = None
    uncertainty: float = READING

    @property
    def strip(self) -> Strip:
        """The strip that they make; raises `SensitometryError` where they make none."""
        exposed = self.exposures
        known = tablet(exposed) if isinstance(exposed, str) else lux_seconds(exposed)
        return strip(known, self.densities, self.base_fog, self.uncertainty)

    def strip_of(self, place: str) -> Strip:
        """The same; raises `JournalError`, which names the place, where they make none."""
        try:
            return self.strip
        except SensitometryError as error:
            raise JournalError(place, error.found, error.remedy) from None

    def columns(self) -> dict[str, str]:
        """The columns of a result that keep them."""
        read = self._asdict()
        return {"exposures": json.dumps(read.pop("exposures")), "densities": json.dumps(read)}


def strip_of(densities: str, exposures: str) -> Strip | None:
    """The strip whose readings two columns keep, None where they are empty.

    Raises `ValueError` or `TypeError` for text that `Readings.columns` never wrote.
    """
    if not densities:
        return None
    read, exposed = json.loads(densities), json.loads(exposures)
    made = Readings(exposures=exposed if isinstance(exposed, str) else tuple(exposed), **read)
    return made._replace(densities=tuple(made.densities)).strip
