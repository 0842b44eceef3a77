"""The kinds of steps by name, for those who load no plan: the vocabulary, the journal."""

from typing import Final

#: What a step can be, and so what can be announced when it is entered.
STEP_KINDS: Final = (
    "load",
    "soak",
    "develop",
    "rinse",
    "stop",
    "bleach",
    "clearing bath",
    "expose",
    "fix",
    "wash aid",
    "wash",
    "wet",
    "step",
)

#: What kinds were called before. Plans, cue sets and runs with the old word are still read.
FORMER_KINDS: Final = {"clear": "wash aid"}


def kind_called(name: str) -> str:
    """The kind by its present name."""
    return FORMER_KINDS.get(name, name)
