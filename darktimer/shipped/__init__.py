"""Finds the plans, recipes and cue sets that come with the program, by path or by bare name.

In a wheel the folders `sequences/` and `sounds/` lie beside this file; in a checkout or an
editable install they lie at the top of the project. Nothing else of the program knows this.
"""

import os
from pathlib import Path

from darktimer.errors import NotFoundError

_HERE = Path(__file__).parent
_PROJECT = _HERE.parent.parent


def folder(name: str) -> Path:
    """The shipped folder ``name`` (``sequences`` or ``sounds``), wherever this copy keeps it."""
    inside = _HERE / name
    return inside if inside.is_dir() else _PROJECT / name


def names(folder_name: str) -> list[str]:
    """Bare names of the YAML files in a shipped folder, in alphabetical order."""
    return sorted(path.stem for path in folder(folder_name).glob("*.yaml"))


def find(folder_name: str, kind: str, name_or_path: str) -> Path:
    """The file meant by ``name_or_path``: a file if there is one, else a shipped bare name.

    Raises `NotFoundError`, which lists what is shipped and the nearest name.
    """
    path = Path(name_or_path)
    if os.path.isfile(path):  # which says no where a folder cannot be entered, and raises nothing
        return path
    shipped = folder(folder_name) / f"{name_or_path}.yaml"
    if path.name == name_or_path and os.path.isfile(shipped):
        return shipped
    raise NotFoundError(kind, name_or_path, names(folder_name))
