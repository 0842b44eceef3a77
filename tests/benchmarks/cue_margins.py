"""Prints, for each shipped cue set, how far its cues lie apart and how loud and how high they are.

    python tests/benchmarks/cue_margins.py

Reads pulses, not recordings: what a recording shows is the proof of the ear's own tests.
"""

from math import log10

from darktimer.cues.confusion import clear_differences, perceived
from darktimer.cues.confusion_rules import closest
from darktimer.cues.cue_set import CueSet
from darktimer.cues.margins import cue_pulses, loudness_of_cue, notes, share
from darktimer.cues.reader import load_cue_set
from darktimer.cues.rules import broken_rules
from darktimer.cues.tone_rules import QUIET
from darktimer.process import meanings
from darktimer.shipped import names

COLUMNS = (
    "set",
    "rules broken",
    "worst pair",
    "clear differences",
    "light-safe, alarm: to the nearest",
    "loudness spread (alarm, accompaniment)",
    "least power in the band",
    "most lost where nothing below 800 Hz is played",
)


def main() -> None:
    print(f"| {' | '.join(COLUMNS)} |\n|{'---|' * len(COLUMNS)}")
    for name in names("sounds"):
        print(f"| {' | '.join(row(load_cue_set(name)))} |")


def row(cue_set: CueSet) -> tuple[str, ...]:
    pulses = cue_pulses(cue_set)
    worst = closest(cue_set, pulses, 4)[0]
    all_heard = {meaning: perceived(each, cue_set.voice) for meaning, each in pulses.items()}
    tones = [cue_set.voice.partials(note) for note in notes(pulses)]
    nearest = [
        min(clear_differences(all_heard[alone], h) for m, h in all_heard.items() if m != alone)
        for alone in (meanings.LIGHT_SAFE, meanings.ALARM)
    ]
    levels = {
        meaning: loudness_of_cue(cue_set.voice, each) - cue_set.loudness
        for meaning, each in pulses.items()
    }
    alarm = levels.pop(meanings.ALARM)
    quiet = [levels.pop(meaning) for meaning in QUIET if meaning in levels]
    return (
        cue_set.name,
        str(len(broken_rules(cue_set))),
        f"{worst.one}, {worst.other}",
        f"{worst.differences:.2f}",
        f"{nearest[0]:.1f}, {nearest[1]:.1f}",
        f"{min(levels.values()):+.1f} to {max(levels.values()):+.1f} LU "
        f"({alarm:+.1f}, {max(quiet):+.1f})",
        f"{min(share(tone, *cue_set.band) for tone in tones):.0%} of {cue_set.band.text()}",
        f"{-10 * log10(min(share(tone, 800, 1e6) for tone in tones)):.1f} dB",
    )


if __name__ == "__main__":
    main()
