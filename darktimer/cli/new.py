"""``darktimer new``: a plan of one's own from answers to a few questions."""

import shlex
import sys
from collections.abc import Callable
from pathlib import Path

import click

from darktimer.cli.options import FilePath, force_option, json_option
from darktimer.pages.questionnaire import draft_json, fill, print_draft
from darktimer.prepare.drafting import Draft
from darktimer.prepare.questions import QUESTIONS
from darktimer.terminal.text import print_json
from darktimer.whole_file import write_whole


def _answer_options(command: Callable[..., None]) -> Callable[..., None]:
    for key in reversed(QUESTIONS):
        told = f"{QUESTIONS[key].asks}. {QUESTIONS[key].means}"
        command = click.option(f"--{key}", metavar="ANSWER", help=told)(command)
    return command


@click.command("new")
@click.argument("file", metavar="[FILE]", default="my-plan.yaml", type=FilePath())
@_answer_options
@click.option("--no-questions", is_flag=True, help="Ask nothing: options, else what is usual.")
@force_option
@json_option
def command(
    file: Path, no_questions: bool, force: bool, as_json: bool, **options: str | None
) -> None:
    """Write a plan of your own to FILE, from answers to a few questions.

    Each question shows what is usual; press Enter to take it. Nothing is written before the last
    answer. Where there is no terminal, nothing is asked.

    FILE is my-plan.yaml unless named.

    \b
    Example:
      darktimer new
      darktimer new roll.yaml --film 120 --develop 9:30
      darktimer new --no-questions --agitation half
    """
    target = _target(file, force)
    given = {key: answer for key, answer in options.items() if answer is not None}
    draft = Draft(target)
    fill(draft, given, asking=not (no_questions or as_json) and sys.stdin.isatty())
    write_whole(target, draft.text.encode(), force=force)
    if as_json:
        print_json(draft_json(str(target), draft))
    else:
        print_draft(str(target), draft)


def _target(file: Path, force: bool) -> Path:
    """Where to write; refused before anything is asked."""
    target = file if file.suffix else file.with_suffix(".yaml")
    if file.is_dir():
        raise click.UsageError(f"{file} is a folder; name a file in it")
    if not target.parent.is_dir():
        raise click.UsageError(f"the folder {target.parent} does not exist; make it first")
    if target.exists() and not force:
        raise click.UsageError(
            f"{target} is already there; name another file, such as "
            f"darktimer new {shlex.quote(str(beside(target)))}, or add --force"
        )
    return target


def beside(target: Path) -> Path:
    """A name like ``target``'s that is still free."""
    numbered = (target.with_stem(f"{target.stem}-{number}") for number in range(2, 1000))
    return next((path for path in numbered if not path.exists()), target)
