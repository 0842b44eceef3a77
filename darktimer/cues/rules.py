"""What a cue set must keep to so that hands in the dark can rely on it.

Every rule is judged on the pulses alone, so a changed set can be checked before it is heard. What
they are, each with the figure behind it, is in `rhythm_rules.py`, `confusion_rules.py` and
`tone_rules.py`.
"""

from typing import Final, NamedTuple

from darktimer.cues import confusion_rules, rhythm_rules, tone_rules
from darktimer.cues.cue_set import CueSet
from darktimer.cues.margins import cue_pulses
from darktimer.cues.rule import Rule

RULES: Final = tuple(
    each
    for module in (rhythm_rules, confusion_rules, tone_rules)
    for each in vars(module).values()
    if isinstance(each, Rule)
)


class Broken(NamedTuple):
    """A rule that is not kept, the meanings it is about, how far off they are, and its source."""

    rule: str
    meanings: tuple[str, ...]
    found: str
    source: str


def broken_rules(cue_set: CueSet) -> list[Broken]:
    """Every rule that the set breaks, with the meanings concerned; empty for a good set."""
    pulses = cue_pulses(cue_set)
    return [
        Broken(rule.asks, meanings, found, rule.source)
        for rule in RULES
        for meanings, found in rule.breaches(cue_set, pulses)
    ]
