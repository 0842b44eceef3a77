"""A changed plan after a run: the old text with the suggested values, and the reasons at its head.

The plan is the one the run was begun with, as the journal kept it; its file is never touched.
"""

import json
import re
from pathlib import Path
from typing import NamedTuple

from darktimer.errors import FileError
from darktimer.journal.journal import Journal
from darktimer.journal.piece_times import Wanted
from darktimer.journal.refusal import JournalError
from darktimer.journal.results import Result
from darktimer.journal.review import review
from darktimer.journal.revise import Changes, revise
from darktimer.journal.suggest import suggest
from darktimer.journal.suggestion import Suggestion
from darktimer.plan.reader import PlanFile, read_plan_text
from darktimer.sensitometry.refusal import SensitometryError


class Proposal(NamedTuple):
    """The suggestions, and the new plan's text; empty where nothing in the plan is to change.

    Whether that plan can be carried out is for those to see who prepare one.
    ``judged`` is False where nobody has said yet how the film turned out.
    """

    suggestions: tuple[Suggestion, ...]
    text: str
    judged: bool


def propose(journal: Journal, run: int, wanted: Wanted | None = None) -> Proposal:
    """What a run suggests; raises `JournalError` where its plan can no longer be read.

    Or where the readings do not tell the time for what is ``wanted``.
    """
    found, text = review(journal, run), journal.plan_text(run)
    file, judged = _read(run, text), any(each != Result() for each in found.results.values())
    try:
        suggestions = tuple(suggest(found, file, wanted))
    except SensitometryError as error:
        raise JournalError(f"run {run}", error.found, error.remedy) from None
    changes = {path: value for each in suggestions for path, value in each.changes.items()}
    if not changes:
        return Proposal(suggestions, "", judged)
    titled: Changes = {**changes, ("title",): _title(file.plan.title, run)}
    body = revise(text, file.document, titled)
    return Proposal(suggestions, "".join(_head(run, suggestions, body)) + body, judged)


def _read(run: int, text: str) -> PlanFile:
    """The plan of a run; raises `JournalError` where it is a plan no longer."""
    path = Path(f"plan-of-run-{run}.yaml")
    try:
        return read_plan_text(text, path)
    except FileError as error:
        found = f"its plan can no longer be carried out: {error.faults[0].text(path.name)}"
        raise JournalError(f"run {run}", found, "change a plan by hand") from None


def _title(title: str, run: int) -> str:
    plain = re.sub(r" \(after run \d+\)$", "", title)
    return json.dumps(f"{plain} (after run {run})", ensure_ascii=False)


def _head(run: int, suggestions: tuple[Suggestion, ...], body: str) -> list[str]:
    """Comments that say what was changed and why; every line of them is one line."""
    end = "\r\n" if "\r\n" in body else "\n"
    by_thumb = all(each.rule for each in suggestions if each.changes)
    by = "by rules of thumb" if by_thumb else "from its pieces"
    lines = [f"Proposed after run {run}, {by}; untested on film."]
    for each in suggestions:
        basis, where = each.basis, "" if each.changes else " (nothing in the plan)"
        lines.append(f"- {each.found}: {each.remedy}{where}. {basis[:1].upper()}{basis[1:]}.")
    return [f"# {line}{end}" for line in lines]
