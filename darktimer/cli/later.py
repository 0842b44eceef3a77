"""A view that begins when it is first wanted, once the screen is lit. Light to load until then."""

from contextlib import ExitStack, suppress
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from darktimer.cli.view import View
    from darktimer.cues.cue_set import CueSet
    from darktimer.live.session import Session


class Later:
    """A view to come; a context."""

    def __init__(self, cue_set: "CueSet", silent: bool) -> None:
        self._cue_set = cue_set
        self._silent = silent
        self._held = ExitStack()
        self._view: View | None = None

    def __enter__(self) -> "Later":
        return self

    def __exit__(self, *_: Any) -> None:
        with suppress(OSError):  # the terminal may be gone
            self._held.close()

    def __call__(self, session: "Session") -> None:
        """Shows the session's scene."""
        from darktimer.cli.view import view

        with suppress(OSError):
            if self._view is None:
                self._view = view(self._cue_set, plain=False, silent=self._silent)
                self._held.enter_context(self._view)
            self._view(session)
