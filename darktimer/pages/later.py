"""A view that begins when it is first wanted. Until then it is light to load.

Whatever a view may fail at, the sound does not depend on it: it ends, and the run is told so.
"""

from contextlib import ExitStack, suppress
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from darktimer.cues.cue_set import CueSet
    from darktimer.live.session import Session
    from darktimer.pages.view import View


class Later:
    """A view to come; a context."""

    def __init__(self, cue_set: "CueSet", silent: bool, plain: bool = False) -> None:
        self._asked = (cue_set, plain, silent)
        self._held = ExitStack()
        self._view: View | None = None
        self._failed = False

    def __enter__(self) -> "Later":
        return self

    def __exit__(self, *_: Any) -> None:
        with suppress(Exception):  # the terminal may be gone
            self._held.close()

    def __call__(self, session: "Session") -> None:
        """Shows the session's scene."""
        if self._failed:
            return
        try:
            self._show(session)
        except Exception as error:
            self._failed = True
            self.__exit__()
            found = f"nothing more could be shown: {error or type(error).__name__}"
            session.troubles.append((session.now().heard_ms, found))

    def _show(self, session: "Session") -> None:
        from darktimer.pages.view import view

        self._view = self._view or self._held.enter_context(view(*self._asked))
        self._view(session)
