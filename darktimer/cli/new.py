"""``darktimer new``: a plan of one's own from answers to a few questions."""

import shlex
import sys
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any, Final, NamedTuple, get_args

import click

from darktimer.cli.options import FilePath, force_option, json_option
from darktimer.cli.overview import beside, print_next_steps
from darktimer.cues.cue_set import CueSet
from darktimer.cues.reader import load_cue_set
from darktimer.document.section import one_of
from darktimer.errors import DarktimerError, Fault, FileError, UnreadableError
from darktimer.plan.draft import BETWEEN, UNKNOWN, USUAL, WAYS, complete, measure, plan_text
from darktimer.plan.film import CineFormat, RollFormat, SheetFormat, VesselKind
from darktimer.plan.reader import read_plan_text
from darktimer.prepare.prepared import Prepared, prepare_file
from darktimer.terminal.text import print_json, print_list, say
from darktimer.units import clock, shown
from darktimer.whole_file import write_whole


class Question(NamedTuple):
    """What is asked, in a few words; what it means; the words that answer it, alone or not."""

    asks: str
    means: str
    words: tuple[str, ...] = ()
    only: bool = True


def _words(kind: Any) -> tuple[str, ...]:
    """The words that a choice of the plan language allows."""
    return get_args(kind)


#: A question for each answer that a draft wants; each is an option too.
QUESTIONS: Final = {
    "film": Question(
        "Film",
        "135-36, 135-24, 135-12: a 35 mm roll of so many pictures. 120: a wide roll. "
        f"Sheets: {', '.join(_words(SheetFormat))}. "
        f"Motion-picture film: {', '.join(_words(CineFormat))}.",
        (*_words(RollFormat), *_words(SheetFormat), *_words(CineFormat)),
    ),
    "amount": Question(
        "How much film", "Rolls and sheets by number, motion-picture film such as 100 ft."
    ),
    "vessel": Question("Vessel", f"One of: {', '.join(_words(VesselKind))}.", _words(VesselKind)),
    "light": Question(
        "Open or closed",
        "closed: no light gets in once the film is loaded, so the rest is done in the light. "
        "open: all is dark until the film is fixed.",
        ("open", "closed"),
    ),
    "volume": Question(
        "Volume", f"What covers the film, measured with water, such as 500 ml; or {UNKNOWN}."
    ),
    "developer": Question("Developer", "Its name. darktimer mix looks for a recipe of that name."),
    "temperature": Question("Temperature", "Of the baths, such as 20 C or 68 F."),
    "develop": Question(
        "Time in the developer",
        "From its label, your notes or a test, such as 10 min or 7:30. The usual time here is a "
        "guess.",
    ),
    "agitation": Question(
        "How the film is moved",
        "inversions: for 30 s, then 2 within 5 s of every minute. half: half of each minute. "
        "continuous: all the time. stand: at the start only. rotation: rolling, turned round "
        "every 30 s. shuffle: sheets in a tray, one each 5 s. Or as a plan writes it: 1/3, "
        "{inversions: 3, within: 8 s, every: 2 min}.",
        tuple(WAYS),
        only=False,
    ),
    "between": Question(
        "Between developer and fixer",
        "rinse: plain water. stop: an acid bath.",
        BETWEEN,
    ),
    "clearing": Question(
        "Clearing time",
        "How long a scrap of this film takes to turn clear in the fixer, tried in the light; or "
        f"{UNKNOWN}.",
    ),
    "fix": Question("Time in the fixer", "At least twice the clearing time."),
    "wash": Question("Time of each wash", "In plain water, such as 5 min."),
    "changes": Question("How many washes", "Each in fresh water."),
    "title": Question("Title", "What to call the plan."),
}
_BACK: Final = "back"
#: How the question for the amount is put, and what it means, by what measures the film.
_AMOUNTS: Final = {
    "count": ("How many rolls", "That are processed together."),
    "sheets": ("How many sheets", "That are processed together."),
    "length": (
        "How long is the film",
        f"Motion-picture film, such as 100 ft or 30 m. Is it a 35 mm roll of pictures? {_BACK}, "
        "then 135-36.",
    ),
}
assert tuple(QUESTIONS) == tuple(USUAL)


def _answer_options(command: Callable[..., None]) -> Callable[..., None]:
    for key in reversed(QUESTIONS):
        question = QUESTIONS[key]
        told = f"{question.asks}. {question.means}"
        option = click.option(f"--{key}", metavar="ANSWER", help=told)
        command = option(command)
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
    asking = not (no_questions or as_json) and sys.stdin.isatty()
    if asking:
        say(
            f"Press Enter to take what stands in brackets. {_BACK!r} goes back one question. "
            "Ctrl-C ends, and nothing is written."
        )
    draft = _Drafting(target)
    _fill(draft, given, asking)
    write_whole(target, draft.text.encode(), force=force)
    prepared = draft.prepared
    warnings = prepared.doubtful()
    if as_json:
        print_json(_report(target, prepared, warnings))
    else:
        _print(target, prepared, warnings)


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


class _Drafting:
    """A plan as it grows. After each answer the whole is tried, with what is usual for the rest.

    So what does not fit is the answer just given, and the last answer leaves a plan without fault.
    """

    def __init__(self, target: Path) -> None:
        self._target = target
        self._cues: CueSet = load_cue_set("standard")
        self._answers: dict[str, str] = {}
        self._try({})

    def take(self, key: str, answer: str) -> None:
        """Keeps an answer that fits; raises `DarktimerError` for one that does not."""
        answers = {**self._answers, key: _named(answer, QUESTIONS[key])}
        self._try(answers)
        self._answers = answers

    def forget(self, keys: Sequence[str]) -> None:
        """Takes back the answers to these questions."""
        self._answers = {key: each for key, each in self._answers.items() if key not in keys}
        self._try(self._answers)

    def _try(self, answers: dict[str, str]) -> None:
        try:
            self._compile(complete(answers))
        except FileError:
            if "agitation" in answers:
                raise
            # The usual way does not go into every time; this one does.
            self._compile(complete({**answers, "agitation": "continuous"}))

    def _compile(self, whole: dict[str, str]) -> None:
        text = plan_text(whole)
        file = read_plan_text(text, self._target)
        made = prepare_file(file, self._cues).with_recipes()  # a bath may name a file
        self.whole, self.text, self.prepared = whole, text, made


def _named(answer: str, question: Question) -> str:
    """The one word that is meant, whatever its capitals and spaces, or however it is cut short.

    Raises `UnreadableError` where it may be one of several, or is none and must be one.
    """
    plain = _squeezed(answer)
    begun = [word for word in question.words if plain and _squeezed(word).startswith(plain)]
    meant = [word for word in begun if _squeezed(word) == plain] or begun
    if len(meant) > 1:
        raise UnreadableError(f"{shown(answer)} may be {' or '.join(meant)}", "write one of them")
    if question.words and question.only and not meant:
        raise UnreadableError(f"{shown(answer)} is none of these", one_of(answer, question.words))
    return meant[0] if meant else answer.strip()


def _squeezed(text: str) -> str:
    return "".join(text.split()).lower()


def _fill(draft: _Drafting, given: dict[str, str], asking: bool) -> None:
    """Takes what is given and asks for the rest, in the order of the questions."""
    keys, asked = list(QUESTIONS), list[int]()
    at = 0
    while at < len(keys):
        key = keys[at]
        if key in given:
            _take(draft, key, given[key])
        elif asking and not _ask(draft, key):
            at = asked.pop() if asked else at
            draft.forget(keys[at:])
            continue
        elif asking:
            asked.append(at)
        at += 1


def _take(draft: _Drafting, key: str, answer: str) -> None:
    try:
        draft.take(key, answer)
    except DarktimerError as error:
        raise click.BadParameter(_reason(error, QUESTIONS[key]), param_hint=f"--{key}") from None


def _ask(draft: _Drafting, key: str) -> bool:
    """Asks until the answer fits; false where somebody wants to go back instead."""
    question = QUESTIONS[key]
    asks, means = question.asks, question.means
    if key == "amount":
        asks, means = _AMOUNTS[measure(draft.whole)]
    click.echo()
    say(means)
    while True:
        answer = click.prompt(asks, default=draft.whole[key])
        if _squeezed(answer) == _BACK:
            return False
        try:
            draft.take(key, answer)
            return True
        except DarktimerError as error:
            say(f"Not so: {_reason(error, question)}.")


def _reason(error: DarktimerError, question: Question) -> str:
    """What is wrong with an answer; its place in a file is nothing to somebody who answers."""
    if not isinstance(error, FileError):
        return str(error)
    found = "; ".join(dict.fromkeys(f"{fault.found}; {fault.mend}" for fault in error.faults))
    return found if question.only else f"{found}; or a word: {', '.join(question.words)}"


def _report(target: Path, prepared: Prepared, warnings: list[Fault]) -> dict[str, Any]:
    return {
        "file": str(target),
        "title": prepared.timeline.title,
        "duration_ms": prepared.timeline.duration_ms,
        "warnings": [{"found": each.found, "mend": each.mend} for each in warnings],
    }


def _print(target: Path, prepared: Prepared, warnings: list[Fault]) -> None:
    timeline = prepared.timeline
    click.echo()
    say(f"{target}: written, and without fault.")
    say(f"It takes {clock(timeline.duration_ms)}, {clock(timeline.dark_ms)} of it in the dark.")
    print_list("Doubtful", [f"{each.found}; {each.mend}" for each in warnings])
    click.echo("\nNext:")
    print_next_steps(str(target))
