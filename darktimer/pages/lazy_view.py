"""A view that begins when it is first wanted. Until then it is light to load.

Whatever a view may fail at, the sound does not depend on it: it ends, and the run is told so.
"""

from contextlib import suppress
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from darktimer.cues.cue_set import CueSet
    from darktimer.live.session import Session
    from darktimer.pages.live_view import LineView, ScreenView


class LazyView:
    """A view to come, of which a ``silent`` one never does; a context."""

    def __init__(self, cue_set: "CueSet", silent: bool, plain: bool = False) -> None:
        self._asked = (cue_set, plain)
        self._over = silent
        self._view: ScreenView | LineView | None = None

    def __enter__(self) -> "LazyView":
        return self

    def __exit__(self, *_: Any) -> None:
        self._over = True
        with suppress(Exception):  # the terminal may be gone
            if self._view:
                self._view.close()

    def __call__(self, session: "Session") -> None:
        """Shows the session's scene."""
        if self._over:
            return
        try:
            self._show(session)
        except Exception as error:
            self.__exit__()
            session.fail(f"nothing more could be shown: {error or type(error).__name__}")

    def _show(self, session: "Session") -> None:
        from darktimer.pages.live_view import view

        self._view = self._view or view(*self._asked)
        self._view(session)
