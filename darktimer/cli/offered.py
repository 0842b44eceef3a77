"""What a shell offers where a name may be written: plans, recipes, cue sets, runs, baths."""

from collections.abc import Callable, Iterable, Iterator
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING

import click

from darktimer import shipped
from darktimer.errors import DarktimerError

if TYPE_CHECKING:  # loaded when a shell asks
    from click.shell_completion import CompletionItem

#: Names that may be written, each with what it is, or nothing where the name says it.
Names = Iterable[tuple[str, str | None]]


def names_or_files(folders: Iterable[str], begun: str) -> "list[CompletionItem]":
    """Names shipped in these folders, with the files here; folders alone are left to the shell.

    A shell that is asked to look for files itself forgets the names, and offers a plan's sound too.
    """
    from click.shell_completion import CompletionItem

    names = [(name, None) for folder in folders for name in shipped.names(folder)]
    known = _offered(names, begun)
    elsewhere = Path(begun).is_absolute() or begun.startswith("~")
    here = [] if elsewhere else list(_files(begun))
    if known or any(not item.value.endswith("/") for item in here):
        return [*known, *here]
    return [CompletionItem(begun, type="file")]


def _files(begun: str) -> "Iterator[CompletionItem]":
    """Folders and YAML files here whose names are so begun."""
    from click.shell_completion import CompletionItem

    for path in sorted(Path().glob(f"{begun}[!.]*" if not begun else f"{begun}*")):
        if path.is_dir() or path.suffix in (".yaml", ".yml"):
            yield CompletionItem(f"{path}/" if path.is_dir() else str(path))


def _offered(names: Names, begun: str) -> "list[CompletionItem]":
    from click.shell_completion import CompletionItem

    return [CompletionItem(name, help=says) for name, says in names if name.startswith(begun)]


def offers(names: Callable[[], Names]) -> "Callable[..., list[CompletionItem]]":
    """Lets a shell offer ``names``; none where the journal that holds them cannot be read."""

    def complete(_: click.Context, __: click.Parameter, begun: str) -> "list[CompletionItem]":
        with suppress(DarktimerError):
            return _offered(names(), begun)
        return []

    return complete


def runs() -> Names:
    """The latest runs in the journal, by number."""
    from darktimer.prepare.kept_baths import latest_runs

    return [(str(run.number), run.title) for run in latest_runs()]


def baths() -> Names:
    """The baths in use, by names that need no quotes."""
    from darktimer.plan.baths import bath_key
    from darktimer.prepare.kept_baths import baths_in_use

    return [(bath_key(bath.name), bath.name) for bath in baths_in_use()]


def forms() -> Names:
    """What a cupboard may hold, by names that need no quotes."""
    from darktimer.bench.substances import FORMS

    return [(name.replace(" ", "-"), None) for name in FORMS]


def recipes() -> Names:
    """The recipes that are shipped."""
    return [(name, None) for name in shipped.names("sequences/recipes")]
