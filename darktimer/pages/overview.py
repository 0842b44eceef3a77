"""What ``darktimer`` alone says: where the user stands, and what is useful next.

Looks at the plans in this folder and for a run that was not ended. Writes nothing.
"""

import shlex
from contextlib import suppress
from pathlib import Path
from shutil import get_terminal_size
from typing import TYPE_CHECKING, Final

import click

from darktimer import shipped
from darktimer.errors import DarktimerError, FileError
from darktimer.terminal.text import say

if TYPE_CHECKING:
    from darktimer.journal.runs import Run

#: More files than this are not looked into.
_MOST_FILES: Final = 40

#: What to do with a plan, in the order of an evening.
_EVENING: Final = (
    ("check", "See its steps, warnings and cautions", "{plan}"),
    ("mix", "See what to weigh and mix", "{plan}"),
    ("card", "Write it on one page to pin up", "{plan} -o {card}"),
    ("cues", "Hear each sound, in the light", "-o cues.wav"),
    ("learn", "Learn its sounds by ear", "{plan}"),
    ("rehearse", "Rehearse it, in the light", "{plan}"),
    ("run", "Be led through it, live", "{plan}"),
    ("render", "Or write a sound file to work by", "{plan} -o {sound}"),
)


def print_next_steps(plan: str) -> None:
    """What to do with ``plan``, each with its command."""
    stem = Path(plan).stem
    files = {"plan": plan, "sound": f"{stem}.wav", "card": f"{stem}.pdf"}
    names = {key: shlex.quote(name) for key, name in files.items()}
    for command, purpose, arguments in _EVENING:
        say_how(purpose, f"{command} {arguments.format(**names)}")


def say_how(purpose: str, command: str) -> None:
    """A purpose and its command, which is never broken: on a line of its own where it must be."""
    line = f"  {purpose}: darktimer {command}"
    if len(line) > get_terminal_size().columns:
        line = f"  {purpose}:\n    darktimer {command}"
    click.echo(line)


def print_overview() -> None:
    """Says what there is here and what to do next, in a few lines."""
    say("darktimer turns a plan for processing film into sounds that lead the hands in the dark.")
    if run := unfinished():
        click.echo()
        _print_unfinished(run)
    click.echo()
    plans = _plans_here()
    if plans:
        _print_plans(plans)
    else:
        _print_beginning()
    click.echo("\nEvery command: darktimer --help")


def unfinished() -> "Run | None":
    """The run that was not ended, where there is a journal; one in trouble is no news here."""
    from darktimer.journal.folder import journal_is_begun

    with suppress(DarktimerError):
        if journal_is_begun():
            from darktimer.journal.journal import Journal

            with Journal.open() as journal:
                return journal.unfinished_run()
    return None


def _print_unfinished(run: "Run") -> None:
    say(f"Run {run.number}, {run.title}, was begun and has not ended.")
    say_how("Resume it, where the film is by now", "run --resume")
    say_how("Or close it", "run --resume --give-up")
    say_how("See how far it came", f"journal {run.number}")


def _plans_here() -> list[Path]:
    """Plans in this folder, the one changed last first."""
    files = [path for end in ("yaml", "yml") for path in Path().glob(f"*.{end}") if path.is_file()]
    files.sort(key=lambda path: path.stat().st_mtime, reverse=True)
    return [path for path in files[:_MOST_FILES] if _is_plan(path)]


def _is_plan(path: Path) -> bool:
    """Whether a file means to be a plan, well written or not."""
    with suppress(OSError):
        with path.open(encoding="utf-8", errors="replace") as file:
            text = file.read(100_000)
        return any(line.startswith("steps:") for line in text.splitlines())
    return False


def _print_plans(plans: list[Path]) -> None:
    latest = str(plans[0])
    others = f", and {len(plans) - 1} more" if plans[1:] else ""
    say(f"In this folder: {latest}{others}.")
    faults = _faults(plans[0])
    if faults:
        say(f"{latest} cannot be used yet. Faults in it: {faults}.", indent="  ")
        say_how("See each, and how to put it right", f"check {shlex.quote(latest)}")
    else:
        print_next_steps(latest)


def _faults(path: Path) -> int:
    from darktimer.bench.recipe_lookup import recipes_of
    from darktimer.prepare.prepared import prepare

    try:
        recipes_of(prepare(str(path), "standard", None).file)
    except FileError as error:
        return len(error.faults)
    return 0


def _print_beginning() -> None:
    names = shipped.names("sequences")
    say("There is no plan in this folder.")
    say_how("Write one from a few questions", "new")
    say_how("Or hear one that comes with the program", f"render {_FIRST} -o develop.wav")
    say(f"Others that come with it: {', '.join(n for n in names if n != _FIRST)}", indent="  ")


_FIRST: Final = "open-tub-half-agitation"
