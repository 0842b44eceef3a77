"""A file that grows answer by answer, without fault after each of them."""

from abc import ABC, abstractmethod
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path

from darktimer.bench.recipe_lookup import at_hand, recipes_of
from darktimer.cues.reader import load_cue_set
from darktimer.errors import FileError
from darktimer.plan.baths import bath_key
from darktimer.plan.draft import complete, measure, plan_text
from darktimer.plan.reader import read_plan_text
from darktimer.prepare.answers import in_plan_words
from darktimer.prepare.prepared import Prepared, prepare_file
from darktimer.prepare.questions import AMOUNTS, QUESTIONS, Question


class Draft(ABC):
    """What grows. After each answer the whole is tried, with what is usual for the rest.

    So what does not fit is the answer just given, and the last answer leaves a file without fault.
    ``whole`` are the answers with what is usual, ``text`` what is to be written.
    """

    whole: Mapping[str, str]
    text: str

    def __init__(self, target: Path) -> None:
        self.target = target
        self.answers: dict[str, str] = {}
        self._try({})

    @property
    @abstractmethod
    def questions(self) -> Mapping[str, Question]:
        """What is asked after the answers so far, in order."""

    def question(self, key: str) -> Question:
        """How one of them is put now."""
        return self.questions[key]

    def take(self, key: str, answer: str) -> dict[str, str]:
        """Keeps an answer that fits, and returns it as the file has it, with others it holds.

        Raises `DarktimerError` for one that does not fit.
        """
        read = self._read(key, answer)
        answers = self.answers | read
        self._try(answers)
        self.answers = answers
        return read

    def forget(self, keys: Sequence[str]) -> None:
        """Takes back the answers to these questions."""
        self.answers = {key: each for key, each in self.answers.items() if key not in keys}
        self._try(self.answers)

    @abstractmethod
    def _read(self, key: str, answer: str) -> dict[str, str]:
        """An answer in the words of the file; raises `UnreadableError`."""

    @abstractmethod
    def _try(self, answers: Mapping[str, str]) -> None:
        """Makes the whole of these answers; raises `DarktimerError` and keeps the last one."""


class PlanDraft(Draft):
    """A plan as it grows; ``prepared`` is the last one that was without fault."""

    prepared: Prepared

    def __init__(self, target: Path) -> None:
        self._cues = load_cue_set("standard")
        super().__init__(target)

    @property
    def questions(self) -> Mapping[str, Question]:
        """Those of every plan."""
        return QUESTIONS

    def question(self, key: str) -> Question:
        """That for the amount as this film is measured, that for a bath with recipes at hand."""
        question = QUESTIONS[key]
        if key == "amount":
            asks, means = AMOUNTS[measure(self.whole)]
            return question._replace(asks=asks, means=means)
        if key in ("developer", "fixer"):
            known = "; ".join(at_hand(self.target.parent, key))
            return question._replace(means=f"{question.means} At hand: {known}.")
        return question

    def without_recipe(self) -> Iterator[str]:
        """What to do about each bath that was given a name and has no recipe."""
        found = recipes_of(self.prepared.file)
        for kind in ("developer", "fixer"):
            name = self.whole[kind]
            here = found.get(bath_key(name))
            if here and not here.recipe and bath_key(name) != kind:
                near = f"{here.where[0].upper()}{here.where[1:]} Else mix" if here.where else "Mix"
                yield (
                    f"No recipe is called {name}. {near} it as its label says, or write one of "
                    f"that title: darktimer new --recipe"
                )

    def _read(self, key: str, answer: str) -> dict[str, str]:
        return in_plan_words(key, answer, self.whole["film"])

    def _try(self, answers: Mapping[str, str]) -> None:
        try:
            self._compile(complete(answers))
        except FileError:
            if "agitation" in answers:
                raise
            # The usual way does not go into every time; this one does.
            self._compile(complete({**answers, "agitation": "continuous"}))

    def _compile(self, whole: dict[str, str]) -> None:
        text = plan_text(whole)
        file = read_plan_text(text, self.target)
        prepared = prepare_file(file, self._cues).with_recipes()  # a bath may name a file
        self.whole, self.text, self.prepared = whole, text, prepared
