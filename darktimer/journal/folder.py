"""Where the journal lives: in the user's own data folder, or where DARKTIMER_HOME says."""

import os
from pathlib import Path
from typing import Final

HOME_VARIABLE: Final = "DARKTIMER_HOME"


def home() -> Path:
    """The folder that holds everything this program keeps for the user."""
    named = os.environ.get(HOME_VARIABLE)
    if named:
        return Path(named)
    from platformdirs import user_data_path

    return user_data_path("darktimer", appauthor=False)
