"""Which speaker is played on, and how. Light to load: a run is dark before."""

from typing import Final, NamedTuple

#: The head of a stream may be lost, and a device must show that it keeps time.
_LEAD_MS: Final = 2_000


class Speakers(NamedTuple):
    """A ``profile`` of `cues.speaker_profiles`, and names or parts of names as ``darktimer
    speakers`` shows them: None is the system's default, or no second choice, which plays when the
    first is lost.

    ``buffer_ms`` of sound are handed over ahead, at ``rate`` samples a second.
    """

    profile: str = "wired"
    name: str | None = None
    second_choice: str | None = None
    buffer_ms: int = 200
    rate: int = 48_000

    @property
    def lead_ms(self) -> int:
        """How long before its first frame a stream is to be started, to be proven by then."""
        return max(_LEAD_MS, _LEAD_MS // 2 + 2 * self.buffer_ms)
