"""``darktimer next``: a changed plan, with reasons, from how a run turned out."""

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

import click

from darktimer.cli.options import force_option, json_option, output_option, run_argument
from darktimer.cli.wanted import wanted_options
from darktimer.document.reader import written_path
from darktimer.prepare.kept_baths import journal
from darktimer.terminal.text import complain, print_json, print_list, say

if TYPE_CHECKING:
    from darktimer.journal.piece_times import Wanted
    from darktimer.journal.propose import Proposal
    from darktimer.journal.suggestion import Suggestion

_NOTHING: Final = "Nothing in the plan needs to change."


@click.command("next")
@run_argument
@wanted_options
@output_option("Where to write the new plan, if not after-run-RUN.yaml here.", required=False)
@force_option
@json_option
def command(
    run: int, wanted: "Wanted | None", target: Path | None, force: bool, as_json: bool
) -> None:
    """Propose a changed plan from the result and the real times of RUN, as a new file.

    Of a run with pieces, their readings tell one time for all of the film, or else their words do;
    for a gamma or contrast index that you name, only readings. Other suggestions are rules of
    thumb. Each says where it is from. The old plan stays as it is, and the new one keeps its
    comments.

    \b
    Example:
      darktimer journal add-result 12 --density dense
      darktimer next 12 -o slower.yaml
      darktimer next 13 --gamma 0.7
    """
    from darktimer.journal.propose import propose
    from darktimer.prepare.proposed import nearest_time, refusal
    from darktimer.whole_file import write_whole

    target = target or Path(f"after-run-{run}.yaml")
    with journal() as opened:
        proposal = propose(opened, run, wanted)
    refused = refusal(proposal.text, target) if proposal.text else ""
    written = str(target) if proposal.text and not refused else None
    if written:
        write_whole(target, proposal.text.encode(), force=force)
    if as_json:
        suggestions = [*map(_as_json, proposal.suggestions)]
        print_json({"file": written, "suggestions": suggestions, "refused": refused})
    else:
        _print(proposal, run, written)
    if refused:
        remedy = nearest_time(proposal, target) or "change a plan by hand"
        complain(f"{target} is not written, since it would be refused: {refused}; {remedy}")
        sys.exit(1)


def _print(proposal: "Proposal", run: int, written: str | None) -> None:
    unchanged = "The plan stays as it is." if proposal.suggestions else _NOTHING
    if written or not proposal.text:
        say(f"{written}: written" if written else unchanged)
    lines = [f"{each.found}: {each.remedy} ({each.basis})" for each in proposal.suggestions]
    print_list("Suggested", lines)
    if not proposal.judged:
        say(f"Say how it turned out with darktimer journal add-result {run}.")


def _as_json(suggestion: "Suggestion") -> dict[str, Any]:
    changes = {written_path(path): value for path, value in suggestion.changes.items()}
    return {**suggestion._asdict(), "changes": changes}
