"""A cue set as a table of meanings and rhythms, and what it breaks of the rules."""

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Final

import click

from darktimer.cues.cue_set import CueSet
from darktimer.cues.margins import gaps_ms
from darktimer.process.timeline import Cue
from darktimer.terminal.table import print_table
from darktimer.terminal.text import print_json, print_list, say
from darktimer.units import seconds_clock

if TYPE_CHECKING:  # loaded when a set is checked
    from darktimer.cues.confusion_rules import Apart
    from darktimer.cues.rules import Broken

#: How pulses are drawn, the shortest first; what is longer than all is drawn as the last.
_MARKS: Final = ".-~=#"
#: So many pairs are shown, if they are this close.
_CLOSEST: Final = 8
_CLOSE: Final = 2.5


def print_check(cues: CueSet, broken: "Sequence[Broken]", as_json: bool) -> None:
    """Every broken rule, with the meanings that break it and the figure behind it."""
    from darktimer.cues.rules import RULES

    if as_json:
        report = {
            "broken": [each._asdict() for each in broken],
            "closest": [each._asdict() for each in _closest(cues)],
            "closest_by_rhythm": _by_rhythm(cues)._asdict(),
        }
        print_json({"name": cues.name, **report})
    elif not broken:
        click.echo(f"{cues.name} keeps all {len(RULES)} rules")
        _print_closest(cues)
    else:
        say(f"{cues.name} breaks {len({b.rule for b in broken})} of {len(RULES)} rules:")
    for rule in () if as_json else RULES:
        if found := [each for each in broken if each.rule == rule.asks]:
            asks = rule.asks[0].upper() + rule.asks[1:]
            print_list(asks, (f"{', '.join(b.meanings)}: {b.found}" for b in found))
            say(f"Figure: {rule.source}.", hang="  ")


def _closest(cues: CueSet) -> "list[Apart]":
    """The pairs of sounds that are the easiest to confuse, of those that can meet in a plan."""
    from darktimer.cues.confusion_rules import closest
    from darktimer.cues.margins import cue_pulses

    return closest(cues, cue_pulses(cues), _CLOSE)[:_CLOSEST]


def _by_rhythm(cues: CueSet) -> "Apart":
    """The act and the company that are the easiest to confuse by rhythm alone."""
    from darktimer.cues.confusion_rules import closest_by_rhythm
    from darktimer.cues.margins import cue_pulses

    return closest_by_rhythm(cues, cue_pulses(cues))


def _print_closest(cues: CueSet) -> None:
    from darktimer.cues.confusion import likelihood

    say(
        "Easiest to confuse: how far apart, in clear differences (a pulse more or less is one, "
        "twice the length another), and roughly how often somebody who must choose is wrong:"
    )
    rows = [[f"{d:.2f}", _odds(likelihood(d)), a, b] for d, a, b in _closest(cues)]
    columns = [("Apart", "right"), ("Wrong", "right"), ("One", "left"), ("Other", "left")]
    print_table(columns, rows)
    apart, act, other = _by_rhythm(cues)
    say(f"By rhythm alone, an act and what asks for none are closest: {act}, {other}, {apart:.2f}")


def _odds(likelihood: float) -> str:
    """No more is told than such a measure can know."""
    return f"1 in {1 / likelihood:.0f}" if likelihood > 0.001 else "under 1 in 1000"


def print_cues(cues: CueSet, played: Sequence[Cue], as_json: bool, with_times: bool) -> None:
    """What each cue means and how its rhythm goes, and ``with_times`` when it is played."""
    marks = _marks(cues)
    rows = [_row(cues, cue, marks) for cue in played]
    if as_json:
        print_json({"name": cues.name, "rule": cues.rule, "cues": rows})
        return
    say(f"{cues.name}: {cues.rule}\n")
    columns = [("At", "right"), ("Cue", "left"), ("Rhythm", "left"), ("Means", "left")]
    keys = ["at", "meaning", "rhythm", "says"][0 if with_times else 1 :]
    print_table(columns[-len(keys) :], [[str(row[key]) for key in keys] for row in rows])
    lengths = [f"{mark} {_spoken(ms)}" for ms, mark in marks.items()]
    say(f"\nIn a rhythm: {', '.join(lengths)}; a space is a longer rest.")
    if cues.unsaid:
        say(f"This set has no sound for: {', '.join(sorted(cues.unsaid))}.")


def _spoken(length_ms: int) -> str:
    return f"{length_ms} ms" if length_ms < 1000 else f"{length_ms / 1000:g} s"


def _row(cues: CueSet, cue: Cue, marks: Mapping[int, str]) -> dict[str, str | int]:
    return {
        "at": seconds_clock(cue.at_ms),
        "at_ms": cue.at_ms,
        "length_ms": cue.length_ms,
        "meaning": cue.meaning,
        "says": cues.says(cue.meaning),
        "rhythm": _drawn(cues, cue.meaning, marks),
    }


def _marks(cues: CueSet) -> dict[int, str]:
    """A mark for each length of a pulse, in milliseconds, the shortest first."""
    lengths = {pulse.length_ms for one in cues.meanings() for pulse in cues.pulses(one)}
    return {ms: _MARKS[min(k, len(_MARKS) - 1)] for k, ms in enumerate(sorted(lengths))}


def _drawn(cues: CueSet, meaning: str, marks: Mapping[int, str]) -> str:
    """A mark for each pulse, and a space for a rest that is longer than the usual gap."""
    pulses = cues.pulses(meaning)
    rests = [" " if gap_ms > cues.gap_ms else "" for gap_ms in (0, *gaps_ms(pulses))]
    return "".join(rest + marks[pulse.length_ms] for rest, pulse in zip(rests, pulses, strict=True))
