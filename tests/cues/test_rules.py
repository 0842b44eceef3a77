from collections.abc import Callable
from pathlib import Path

import pytest

from darktimer.cues.confusion_rules import _acts_have_no_mirror
from darktimer.cues.cue_set import CueSet
from darktimer.cues.margins import cue_pulses
from darktimer.cues.public_alarms import resembled
from darktimer.cues.reader import load_cue_set
from darktimer.cues.rules import RULES, broken_rules
from darktimer.shipped import names

Change = Callable[[str, str], Path]


@pytest.mark.parametrize("name", names("sounds"))
def test_a_shipped_set_keeps_every_rule(name: str) -> None:
    assert broken_rules(load_cue_set(name)) == []


#: A change of the standard set, a meaning that it harms, and words of the rule that it breaks.
HARM = [
    ("rhythm: long long\n", "rhythm: short\n", "stand", "an act is 1.5"),
    ("long (breath) great\n", "short short\n", "heartbeat", "without its first pulse"),
    (
        "rhythm: short short (breath) long short short\n",
        "rhythm: long short (breath) long long\n",
        "back",
        "without its first pulse",
    ),
    (
        "rhythm: long short (breath) short short\n    notes: C5",
        "rhythm: long (breath) 2*short\n    notes: C5",
        "lift",
        "backwards",
    ),
    ("count group: 3", "count group: 4", "tally", "more than three in a row"),
    ("count rest: breath", "count rest: hush", "tally", "twice the rest within"),
    ("1: { rhythm: short long, notes", "1: { rhythm: short, notes", "ready", "250 ms apart"),
    (
        "rhythm: short short (breath) long\n    n",
        "rhythm: great great\n    n",
        "lift",
        "heard whole before the act",
    ),
    (
        "develop: { rhythm: long",
        "develop: { rhythm: great great",
        "enter-develop",
        "heard whole before the act",
    ),
    ("short: 110 ms", "short: 90 ms", "move", "shorter than 100 ms"),
    ("gap: 90 ms", "gap: 70 ms", "move", "no gap is shorter"),
    ("breath: 300 ms", "breath: 340 ms", "round", "no rest within a cue"),
    ("ramp: 16 ms", "ramp: 5 ms", "voice", "10 to 40 ms"),
    ("notes: C5 E5 A5\n", "notes: C6 E5 A5\n", "move", "150 and 1000 Hz"),
    ("0 4 -2 -10 -13", "0 4 -2 -20 -23", "enter", "4 harmonics"),
    ("0 4 -2 -10 -13", "0 -9 -11 -13 -14", "enter", "nothing below 800 Hz"),
    ("0 4 -2 -10 -13", "0 0 0 0 0", "enter", "lies above its band"),
    ("0 4 -2 -10 -13", "0 -9 -9 -9 -9", "enter", "70 % of the power"),
    ("band: 600 to", "band: 400 to", "band", "within 600 to 2500 Hz"),
    ("to 2500 Hz", "to 3500 Hz", "band", "within 600 to 2500 Hz"),
    ("600 to 2500 Hz", "1500 to 2500 Hz", "band", "an octave or more"),
    ("rhythm: long long\n", "level: quiet\n    rhythm: long long\n", "stand", "within 2 LU"),
    ("(breath) vast (breath) vast\n", "\n", "light-safe", "3 clear differences"),
    ("alarm: 4 dB", "alarm: 1 dB", "alarm", "+3 to +6 LU"),
    ("quiet: -10 dB", "quiet: -3 dB", "heartbeat", "-20 to -6 LU"),
    ("vast: 2600 ms", "vast: 1800 ms", "light-safe", "3 times as long"),
    ("vast (breath) vast (breath) vast\n", "vast\n", "light-safe", "half of it"),
    ("8*short long (breath) 8*short long", "4*short long", "alarm", "twice as many"),
    (
        "rhythm: long short (breath) short short\n    notes: C5",
        "rhythm: 4*short\n    notes: C5",
        "marked",
        "empties a house",
    ),
    ("rhythm: great great\n", "rhythm: 3*steady\n", "end", "empties a house"),
]


@pytest.mark.parametrize(("old", "new", "meaning", "told"), HARM)
def test_a_broken_rule_is_named_with_its_meaning(
    changed: Change, old: str, new: str, meaning: str, told: str
) -> None:
    path = changed(old, new)
    path.write_text(path.read_text().replace("rests:\n", "rests:\n  hush: 100 ms\n"))
    cue_set = load_cue_set(str(path))
    (rule,) = [rule for rule in RULES if told in rule.asks]
    concerned = [meanings for meanings, _ in rule.breaches(cue_set, cue_pulses(cue_set))]
    assert any(meaning in each for each in concerned), concerned


def test_every_rule_is_broken_by_one_of_these_and_names_its_figure() -> None:
    for rule in RULES:
        assert rule.source
        assert any(told in rule.asks for *_, told in HARM), rule.asks


def test_two_turns_running_do_not_make_the_carbon_monoxide_pattern(changed: Change) -> None:
    path = changed("rhythm: short (breath) long short\n", "rhythm: short (breath) short\n")
    broken = broken_rules(load_cue_set(str(path)))
    assert any("2 times, it resembles the carbon" in b.found for b in broken)


def test_the_patterns_themselves_are_known() -> None:
    evacuation = [(turn * 4000 + k * 1000, 500) for turn in range(3) for k in range(3)]
    monoxide = [(turn * 5800 + k * 200, 100) for turn in range(3) for k in range(4)]
    assert resembled(evacuation) == ["evacuation"]
    assert resembled(monoxide) == ["carbon monoxide"]
    assert resembled([]) == []


def test_light_safe_is_slower_than_anything_else(standard: CueSet) -> None:
    others = (m for m in standard.meanings() if m != "light-safe")
    longest = max(pulse.length_ms for meaning in others for pulse in standard.pulses(meaning))
    assert all(pulse.length_ms >= 3 * longest for pulse in standard.pulses("light-safe"))


def test_going_on_to_a_bath_is_an_act_whose_mirror_is_sought_too() -> None:
    standard = load_cue_set("standard")
    pulses = standard.pulses("enter-fix")
    end_ms = pulses[-1].end_ms
    mirror = tuple(each._replace(at_ms=end_ms - each.end_ms) for each in reversed(pulses))
    found = _acts_have_no_mirror.breaches(standard, {"enter-fix": pulses, "heartbeat": mirror})
    assert [meanings for meanings, _ in found] == [("enter-fix", "heartbeat")]
