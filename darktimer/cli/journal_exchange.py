"""``darktimer journal export`` and ``import``: the whole journal as files, and back."""

import os
from pathlib import Path

import click

from darktimer.cli.options import FilePath, json_option
from darktimer.prepare.kept_baths import journal
from darktimer.terminal.text import print_json, say
from darktimer.units import counted


@click.command("export")
@click.argument("target", type=FilePath())
@click.option("--force", is_flag=True, help="Write over what exists.")
def export(target: Path, force: bool) -> None:
    """Write the whole journal to TARGET: a .jsonl file, or a folder of CSV files.

    \b
    Example:
      darktimer journal export journal.jsonl
    """
    from darktimer.journal.exchange import export_csv, export_json_lines

    if os.path.exists(target) and not force:
        raise click.UsageError(f"{target} exists; name another place, or add --force")
    write = export_json_lines if _is_json_lines(target) else export_csv
    with journal() as opened:
        write(opened, target)
    say(f"{target}: written")


@click.command("import")
@click.argument("source", type=FilePath())
@json_option
def import_command(source: Path, as_json: bool) -> None:
    """Take in what export wrote to SOURCE; what is here already is left as it is.

    \b
    Example:
      darktimer journal import journal.jsonl
    """
    from darktimer.journal.exchange import import_csv, import_json_lines

    read = import_json_lines if _is_json_lines(source) else import_csv
    with journal() as opened:
        merged = read(opened, source)
    if as_json:
        print_json(merged._asdict())
        return
    say(f"Taken in: {counted(merged.runs, 'run')}, {counted(merged.baths, 'bath')}")
    if merged.runs_known or merged.baths_known:
        known = counted(merged.runs_known, "run"), counted(merged.baths_known, "bath")
        say(f"Here already: {', '.join(known)}")


def _is_json_lines(path: Path) -> bool:
    """Whether the name asks for JSON Lines; a name without a suffix asks for a folder of CSV."""
    if path.suffix not in ("", ".jsonl"):
        raise click.UsageError(
            f"{path}: name a file ending in .jsonl, or a folder for CSV without any ending"
        )
    return path.suffix == ".jsonl"
