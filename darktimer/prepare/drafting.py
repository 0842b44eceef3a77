"""A plan that grows answer by answer, without fault after each of them."""

from collections.abc import Sequence
from pathlib import Path

from darktimer.cues.reader import load_cue_set
from darktimer.errors import FileError
from darktimer.plan.draft import complete, plan_text
from darktimer.plan.reader import read_plan_text
from darktimer.prepare.answers import in_plan_words
from darktimer.prepare.prepared import prepare_file


class Draft:
    """A plan as it grows. After each answer the whole is tried, with what is usual for the rest.

    So what does not fit is the answer just given, and the last answer leaves a plan without fault.
    """

    def __init__(self, target: Path) -> None:
        self._target = target
        self._cues = load_cue_set("standard")
        self.answers: dict[str, str] = {}
        self._try({})

    def take(self, key: str, answer: str) -> dict[str, str]:
        """Keeps an answer that fits, and returns it as a plan has it, with the others it holds.

        Raises `DarktimerError` for one that does not fit.
        """
        read = in_plan_words(key, answer, self.whole["film"])
        answers = self.answers | read
        self._try(answers)
        self.answers = answers
        return read

    def forget(self, keys: Sequence[str]) -> None:
        """Takes back the answers to these questions."""
        self.answers = {key: each for key, each in self.answers.items() if key not in keys}
        self._try(self.answers)

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
        prepared = prepare_file(file, self._cues).with_recipes()  # a bath may name a file
        self.whole, self.text, self.prepared = whole, text, prepared
