"""Asks the questions for a draft, each with what is usual, and says what came of the answers."""

from collections.abc import Mapping, Sequence
from typing import Any

import click

from darktimer.errors import DarktimerError
from darktimer.pages.briefing import known_words
from darktimer.pages.overview import print_next_steps
from darktimer.pages.recipes import print_recipe, recipe_json
from darktimer.prepare.drafting import Draft, PlanDraft
from darktimer.prepare.prepared import Prepared
from darktimer.prepare.questions import BACK, OtherWordError, squeezed
from darktimer.prepare.recipe_drafting import RecipeDraft
from darktimer.terminal.text import print_list, say
from darktimer.units import clock


def fill(draft: Draft, given: Mapping[str, str], asking: bool) -> None:
    """Takes what is given and asks for the rest, in the order of the questions."""
    if asking:
        say(
            f"Press Enter to take what is in brackets. {BACK!r} goes back one question. "
            "Ctrl-C ends, and nothing is written."
        )
        if isinstance(draft, PlanDraft):
            say("The plan is for a negative. For a positive, by reversal: darktimer new --positive")
    asked = list[int]()
    at = 0
    while at < len(keys := list(draft.questions)):
        key = keys[at]
        if key in given:
            _take(draft, key, given[key])
        elif key in draft.answers:  # told with one before it
            pass
        elif asking and not _ask(draft, key):
            at = asked.pop() if asked else at
            draft.forget(keys[at:])
            continue
        elif asking:
            asked.append(at)
        at += 1
    for key in given.keys() - set(keys):  # which says that it was not asked
        _take(draft, key, given[key])


def _take(draft: Draft, key: str, answer: str) -> None:
    before = draft.answers.get(key)
    try:
        draft.take(key, answer)
    except DarktimerError as error:
        question = draft.questions.get(key)
        found = question.wrong(error) if question else str(error)
        raise click.BadParameter(found, param_hint=f"--{key}") from None
    if before not in (None, draft.answers[key]):
        found = f"it is {draft.answers[key]} here, and {before} was given with another answer"
        raise click.BadParameter(f"{found}; leave one of them out", param_hint=f"--{key}")


def _ask(draft: Draft, key: str) -> bool:
    """Asks until the answer fits; false where somebody wants to go back instead."""
    question = draft.question(key)
    click.echo()
    say(question.means)
    if key == "develop" and isinstance(draft, PlanDraft):
        print_list("The journal knows", known_words(draft.prepared.plan))
    while True:
        answer = click.prompt(question.asks, default=draft.whole[key])
        if squeezed(answer) == BACK:
            return False
        try:
            read = draft.take(key, answer)
        except DarktimerError as error:
            again = (
                isinstance(error, OtherWordError) and error.shortly
            )  # the words are listed above
            found = again or f"{question.wrong(error)}."
            say(f"That cannot be used: {found} For example: {draft.whole[key]}.")
            continue
        taken = " of ".join(reversed(read.values()))
        if squeezed(answer) != squeezed(taken):
            say(f"Taken as {taken}.")
        return True


def draft_json(file: str, draft: Draft) -> dict[str, Any]:
    """What was written, for scripts."""
    if isinstance(draft, RecipeDraft):
        return recipe_json(file, draft.file)
    assert isinstance(draft, PlanDraft)
    return plan_json(file, draft.prepared, [*draft.without_recipe()])


def plan_json(file: str, prepared: Prepared, notes: Sequence[str]) -> dict[str, Any]:
    """A plan that was written, for scripts."""
    return {
        "file": file,
        "title": prepared.timeline.title,
        "duration_ms": prepared.timeline.duration_ms,
        "known": known_words(prepared.plan),
        "warnings": [{"found": d.found, "remedy": d.remedy} for d in prepared.warnings()],
        "notes": [*notes],
        "cautions": _of_a_bleach(prepared),
    }


def _of_a_bleach(prepared: Prepared) -> list[str]:
    """What to mind of a plan that has one, told before anybody buys it; else ``mix`` is enough."""
    bleached = any(step.kind == "bleach" for step in prepared.plan.steps)
    return prepared.cautions() if bleached else []


def print_draft(file: str, draft: Draft) -> None:
    """What was written, what is doubtful in it, and what to do next."""
    click.echo()
    if isinstance(draft, RecipeDraft):
        say(f"{file}: written.")
        print_recipe(draft.file)
        say(f"A plan asks for it with: bath: {draft.file.recipe.title}")
        return
    assert isinstance(draft, PlanDraft)
    print_plan(file, draft.prepared, [*draft.without_recipe()])


def print_plan(file: str, prepared: Prepared, notes: Sequence[str]) -> None:
    """A plan that was written without fault: how long it takes, what is known, what to do next."""
    timeline = prepared.timeline
    say(f"{file}: written; no faults found.")
    say(f"It takes {clock(timeline.duration_ms)}, {clock(timeline.dark_ms)} of it in the dark.")
    print_list("The journal knows", known_words(prepared.plan))
    print_list("Warnings", [f"{each.found}; {each.remedy}" for each in prepared.warnings()])
    print_list("Note", notes)
    print_list("Cautions", _of_a_bleach(prepared))
    click.echo("\nNext:")
    print_next_steps(file)
