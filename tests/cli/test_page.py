"""How text is laid on the terminal."""

from contextlib import redirect_stdout
from io import StringIO

import pytest

from darktimer.cli.page import console, table


class Terminal(StringIO):
    """Keeps what is written to it, and says that it is a terminal."""

    def isatty(self) -> bool:
        return True


def test_headings_are_bold_on_a_terminal_and_plain_elsewhere(monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setenv("TERM", "xterm-256color")
    for name in ("FORCE_COLOR", "TTY_COMPATIBLE", "NO_COLOR"):
        monkeypatch.delenv(name, raising=False)
    written = []
    for place in (Terminal(), StringIO()):
        with redirect_stdout(place):
            console().print(table([("Step", "left")], [["Soak"]]))
        written.append(place.getvalue())
    assert "\x1b[1mStep" in written[0]
    assert written[1].split() == ["Step", "Soak"]
