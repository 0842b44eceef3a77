"""The kinds of steps by name, for those who load no plan: the vocabulary, the journal."""

from typing import Final

#: What a step can be, and so what can be announced when it is entered.
STEP_KINDS: Final = (
    "load",
    "wait",
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
    "put away",
    "step",
)

#: Work by hand, which takes as long as it takes.
HAND_KINDS: Final = frozenset({"load", "put away"})
#: What has no time of a bath to be judged by; ``ready`` and ``done`` are added by the compiler.
UNTIMED_KINDS: Final = HAND_KINDS | {"ready", "done"}

#: What kinds were called before. Plans, cue sets and runs with the old word are still read.
FORMER_KINDS: Final = {"clear": "wash aid"}


def kind_called(name: str) -> str:
    """The kind by its present name."""
    return FORMER_KINDS.get(name, name)
