"""``darktimer new``: a plan or a recipe of one's own from answers to a few questions."""

import shlex
import sys
from collections.abc import Callable, Mapping
from pathlib import Path

import click

from darktimer.cli.offered import offers, recipes, runs
from darktimer.cli.options import FilePath, WholeNumber, force_option, json_option
from darktimer.pages.questionnaire import draft_json, fill, plan_json, print_draft, print_plan
from darktimer.prepare.drafting import PlanDraft
from darktimer.prepare.questions import QUESTIONS
from darktimer.prepare.recipe_drafting import QUESTIONS as OF_RECIPES
from darktimer.prepare.recipe_drafting import RecipeDraft
from darktimer.terminal.text import print_json
from darktimer.whole_file import write_whole


def _answer_options(command: Callable[..., None]) -> Callable[..., None]:
    asked = {**QUESTIONS, **{key: each for key, each in OF_RECIPES.items() if key != "title"}}
    for key in reversed(asked):
        of = "" if key in QUESTIONS else "With --recipe: "
        help_text = f"{of}{asked[key].asks}. {asked[key].means}"
        complete = offers(recipes) if key in ("developer", "fixer") else None
        option = click.option(f"--{key}", metavar="ANSWER", help=help_text, shell_complete=complete)
        command = option(command)
    return command


@click.command("new")
@click.argument("file", metavar="[FILE]", required=False, type=FilePath())
@click.option(
    "--like",
    "like_run",
    type=WholeNumber(),
    metavar="RUN",
    shell_complete=offers(runs),
    help="Begin from the plan of a run in the journal, of a cut film from the piece that is kept.",
)
@click.option(
    "--positive",
    is_flag=True,
    help="Begin from the plan that reverses film to a positive; nothing is asked.",
)
@click.option("--recipe", is_flag=True, help="Write a recipe of your own, for a bath.")
@_answer_options
@click.option("--no-questions", is_flag=True, help="Ask nothing: options, else what is usual.")
@force_option
@json_option
def command(
    file: Path | None,
    like_run: int | None,
    positive: bool,
    recipe: bool,
    no_questions: bool,
    force: bool,
    as_json: bool,
    **options: str | None,
) -> None:
    """Write a plan or a recipe of your own to FILE, from answers to a few questions.

    Each question shows what is usual; press Enter to take it. Nothing is written before the last
    answer. Where there is no terminal, nothing is asked.

    FILE is my-plan.yaml unless named, for a recipe recipes/my-recipe.yaml.

    \b
    Example:
      darktimer new
      darktimer new roll.yaml --film '2 rolls of 120'
      darktimer new --like 12 again.yaml
      darktimer new --positive slides.yaml
      darktimer new --recipe --kind bottle --dilution 1+9
    """
    given = {k.replace("_", "-"): each for k, each in options.items() if each is not None}
    if like_run is not None or positive:
        begins = "positive" if positive else "like"
        more = {"like": positive and like_run is not None, "recipe": recipe}
        if other := [*(key for key, each in more.items() if each), *given]:
            found = f"--{begins} begins from a plan as it is"
            raise click.UsageError(f"{found}; leave out --{other[0]}")
        usual = Path("my-positive.yaml" if positive else f"like-run-{like_run}.yaml")
        _write_begun(like_run, _target(file or usual, force), as_json)
        return
    _refuse_others(given, recipe)
    if recipe and file is None:
        Path("recipes").mkdir(exist_ok=True)
    target = _target(file or Path("recipes/my-recipe.yaml" if recipe else "my-plan.yaml"), force)
    draft = RecipeDraft(target) if recipe else PlanDraft(target)
    fill(draft, given, asking=not (no_questions or as_json) and sys.stdin.isatty())
    write_whole(target, draft.text.encode(), force=force)
    if as_json:
        print_json(draft_json(str(target), draft))
    else:
        print_draft(str(target), draft)


def _write_begun(run: int | None, target: Path, as_json: bool) -> None:
    """The plan of a run, or the one for a positive."""
    from darktimer.prepare.kept_baths import journal
    from darktimer.prepare.like import like
    from darktimer.prepare.positive import positive

    if run is None:
        begun = positive(target)
    else:
        with journal() as opened:
            begun = like(opened, run, target)
    write_whole(target, begun.text.encode(), force=True)  # who may not write over it was refused
    if as_json:
        print_json(plan_json(str(target), begun.prepared, begun.differed))
    else:
        print_plan(str(target), begun.prepared, begun.differed)


def _refuse_others(given: Mapping[str, str], recipe: bool) -> None:
    """Refuses answers to questions that nobody asks."""
    for key in given:
        if recipe and key not in OF_RECIPES:
            raise click.UsageError(f"--{key} is asked for a plan; leave out --recipe")
        if not recipe and key not in QUESTIONS:
            raise click.UsageError(f"--{key} is asked for a recipe; add --recipe")


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
