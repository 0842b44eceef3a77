"""Where the journal lives: in the user's own data folder, or where DARKTIMER_HOME says."""

import os
import stat
from pathlib import Path
from typing import Final

HOME_VARIABLE: Final = "DARKTIMER_HOME"
FILE_NAME: Final = "journal.sqlite3"


def home() -> Path:
    """The folder that holds everything this program keeps for the user."""
    named = os.environ.get(HOME_VARIABLE)
    if named:
        return Path(os.path.expanduser(named))
    from platformdirs import user_data_path

    return user_data_path("darktimer", appauthor=False)


def journal_is_begun() -> bool:
    """Whether a journal lies there; raises `JournalError` where nobody can look."""
    try:
        return stat.S_ISREG((home() / FILE_NAME).stat().st_mode)
    except (FileNotFoundError, NotADirectoryError):
        return False
    except OSError as error:
        from darktimer.journal.refusal import refusal

        raise refusal(home() / FILE_NAME, error) from None
