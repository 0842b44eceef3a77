"""Puts small wrong changes into the program, one at a time, and counts those that tests notice.

    python -m tests.mutation.run ROOM | FILE | FILE:LINE ...

A ROOM is one of ``[tool.mutation.rooms]`` in pyproject.toml, where its files, its tests and the
operators stand. Changes that do nothing, or are not worth a test, stand in no_effect.toml with the
reason; they are not tried. Prints every change that passed, a row for each file, and the table.
"""

import sys
import tomllib
from collections.abc import Iterator
from itertools import groupby
from pathlib import Path
from typing import Any, NamedTuple

from tests.mutation.mutants import Mutant, mutants
from tests.mutation.trial import Trial, copied

CHECKOUT = Path(__file__).parents[2]


class Tally(NamedTuple):
    """What became of a room's mutants, as counts."""

    room: str
    mutants: int
    noticed: int
    listed: int

    def row(self) -> str:
        """The row of the table: the share is of all mutants, listed or not."""
        passed = self.mutants - self.noticed - self.listed
        share = f"{100 * self.noticed / self.mutants:.1f} %" if self.mutants else "-"
        cells = (self.room, self.mutants, self.noticed, self.listed, passed, share)
        return f"| {' | '.join(map(str, cells))} |"


def main(asked: list[str]) -> None:
    """Tries the rooms, files or lines that are asked for, one after the other."""
    config = tomllib.loads((CHECKOUT / "pyproject.toml").read_text("utf-8"))["tool"]["mutation"]
    wanted = [_chosen(each, config["rooms"]) for each in asked]
    if not wanted:
        sys.exit(f"{__doc__}\nRooms: {', '.join(config['rooms'])}")
    rows = []
    with copied(CHECKOUT) as copy:
        for name, room, chosen in wanted:
            trial = Trial(copy, room["tests"])
            found = [m for m in _made(room, config["operators"]) if chosen in ("", *_places(m))]
            rows.append(_tried(name, trial, found).row())
    print("\n| room | mutants | noticed | listed | passed | noticed |\n|---|---|---|---|---|---|")
    print("\n".join(rows))


def _chosen(asked: str, rooms: dict[str, Any]) -> tuple[str, dict[str, Any], str]:
    """The name for the table, the room, and the file or line that is asked for in it."""
    if asked in rooms:
        return asked, rooms[asked], ""
    file = asked.partition(":")[0]
    for room in rooms.values():
        if file in _files(room):
            return asked, room, asked
    sys.exit(f"{asked} is neither a room nor a file of one: {', '.join(rooms)}")


def _files(room: dict[str, Any]) -> list[str]:
    found = [path for pattern in room["files"] for path in sorted(CHECKOUT.glob(pattern))]
    return [path.relative_to(CHECKOUT).as_posix() for path in found]


def _made(room: dict[str, Any], operators: list[str]) -> Iterator[Mutant]:
    for file in _files(room):
        yield from mutants(file, (CHECKOUT / file).read_text("utf-8"), operators)


def _places(mutant: Mutant) -> tuple[str, str]:
    return mutant.file, f"{mutant.file}:{mutant.line}"


def _tried(name: str, trial: Trial, found: list[Mutant]) -> Tally:
    """The sum of the files, each of which prints its own row, so that a run cut short is of use."""
    whole = Tally(name, 0, 0, 0)
    without_effect = _listed()
    for file, made in groupby(found, key=lambda mutant: mutant.file):
        tally = _tried_file(file, trial, list(made), without_effect.get(file, set()))
        print(tally.row(), flush=True)
        whole = Tally(name, *(sum(counts) for counts in zip(whole[1:], tally[1:], strict=True)))
    return whole


def _tried_file(file: str, trial: Trial, made: list[Mutant], without_effect: set[str]) -> Tally:
    noticed = listed = 0
    for mutant in made:
        if mutant.becomes in without_effect:
            listed += 1
        elif trial.noticed(file, mutant.text):
            noticed += 1
        else:
            print(f"{file}:{mutant.line}\n  - {mutant.was}\n  + {mutant.becomes}", flush=True)
    return Tally(file, len(made), noticed, listed)


def _listed() -> dict[str, set[str]]:
    """The changed lines of each file that are listed in no_effect.toml."""
    groups = tomllib.loads((Path(__file__).parent / "no_effect.toml").read_text("utf-8"))["group"]
    listed: dict[str, set[str]] = {}
    for group in groups:
        listed.setdefault(group["file"], set()).update(group["becomes"])
    return listed


if __name__ == "__main__":
    main(sys.argv[1:])
