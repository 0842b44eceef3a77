"""The sounds of a plan as they are drawn: a bar for each pulse, to scale, higher for a higher note.

Knows which cues a timeline uses and how to draw their pulses; not what they sound like.
"""

from collections.abc import Iterator, Sequence
from math import log2
from typing import Final, NamedTuple

from darktimer.cues.cue_set import CueSet, Pulse
from darktimer.paper.page import SOFT, Box, Page
from darktimer.paper.text_metrics import fitting_size, shortened, width_of, wrapped_within
from darktimer.process import meanings
from darktimer.process.timeline import Timeline

#: What must be known best comes first; light-safe is drawn last, on a line of its own.
_ORDER: Final = (
    meanings.enter(),
    meanings.MOVE,
    meanings.STAND,
    meanings.LIFT,
    "ready",
    "piece",
    meanings.PIP,
    "tally",
    meanings.HEARTBEAT,
    meanings.TURN,
    meanings.REVERSE,
    meanings.SHEET,
    meanings.ROUND,
    meanings.LIGHTS_OUT,
    meanings.END,
    meanings.CONFIRM,
    meanings.MARKED,
    meanings.REFUSE,
    meanings.HOLD,
    meanings.BACK,
    "left",
    meanings.ALARM,
    meanings.LIGHT_SAFE,
)
_RISE: Final = 5.0  # points between the lowest and the highest note
_THICK: Final = 2.6
_LEAST: Final = 5.5
_GAP: Final = 18.0  # between the columns
_TO_WORDS: Final = 8.0  # from the pulses to what they say
_LONG_MS: Final = 3_200  # a longer cue has a line of its own


class DrawnCue(NamedTuple):
    """A cue to draw: its pulses and what they say."""

    says: str
    pulses: tuple[Pulse, ...]

    @property
    def length_ms(self) -> int:
        return self.pulses[-1].end_ms


class DrawnCues(NamedTuple):
    """What a timeline uses: cues of one figure, and the baths that follow the enter cue."""

    plain: tuple[DrawnCue, ...]
    enter: DrawnCue | None
    baths: tuple[DrawnCue, ...]
    rule: str


def drawn_cues_of(timeline: Timeline, cue_set: CueSet) -> DrawnCues:
    """The sounds of ``timeline``, each once; of a count only one or two numbers as examples."""
    used = list(dict.fromkeys(cue.meaning for cue in timeline.cues))
    by_family: dict[str, list[str]] = {}
    for meaning in used:
        by_family.setdefault(meanings.family(meaning), []).append(meaning)
    entered = [one for one in by_family.pop("enter", []) if one != meanings.enter()]
    if meanings.enter() in used:
        by_family["enter"] = [meanings.enter()]
    shown = [one for family in _ORDER for one in _examples(family, by_family.get(family, []))]
    plain = tuple(DrawnCue(cue_set.says(one), cue_set.pulses(one)) for one in shown)
    enter = DrawnCue(f"{cue_set.says('enter')}, which is", cue_set.pulses("enter"))
    baths = tuple(
        DrawnCue(one.removeprefix("enter-"), _after(enter, cue_set.pulses(one))) for one in entered
    )
    return DrawnCues(plain, enter if baths else None, baths, cue_set.rule)


def _after(first: DrawnCue, pulses: Sequence[Pulse]) -> tuple[Pulse, ...]:
    """The pulses that follow those of ``first``, from 0 on."""
    rest = pulses[len(first.pulses) :]
    return tuple(pulse._replace(at_ms=pulse.at_ms - rest[0].at_ms) for pulse in rest)


def _examples(family: str, used: list[str]) -> Iterator[str]:
    """Counts by their groups: four is three and one; beyond ten the tens have their own pulse."""
    if family not in ("tally", "piece"):
        yield from sorted(used, reverse=True)
        return
    numbers = sorted(int(meaning.rpartition("-")[2]) for meaning in used)
    for group in ([n for n in numbers if n < 10], [n for n in numbers if n >= 10]):
        if group:
            yield f"{family}-{next((n for n in group if n in (4, 12)), group[-1])}"


class _Scale(NamedTuple):
    """Points to a millisecond, and the lowest and highest note as logarithms."""

    per_ms: float
    lowest: float
    highest: float

    def rise(self, frequency: float) -> float:
        span = self.highest - self.lowest
        return _RISE * (log2(frequency) - self.lowest) / span if span else 0.0


def draw_cues(page: Page, box: Box, sounds: DrawnCues, size: float) -> float:
    """Draws all sounds from the top of ``box``, in two columns; returns the y of the lower end."""
    scale = _scale(sounds, box.width, size)
    y = _draw_heading(page, box, sounds.rule, scale, size)
    row = 1.62 * size
    lines_of_their_own = [sound for sound in sounds.plain if sound.length_ms > _LONG_MS]
    short = [sound for sound in sounds.plain if sound.length_ms <= _LONG_MS]
    deep = -(-len(short) // 2)
    parts = [part for part in (short[:deep], short[deep:]) if part]
    columns, type_size = _columns(Box(box.x, y, box.width, row), parts, scale, size)
    for column, part in zip(columns, parts, strict=True):
        widest = _widest(part) * scale.per_ms
        for line, sound in enumerate(part):
            _draw(page, column._replace(y=y + line * row), sound, widest, scale, type_size)
    y += deep * row
    for sound in lines_of_their_own:
        drawn_width = sound.length_ms * scale.per_ms
        _draw(page, Box(box.x, y, box.width, row), sound, drawn_width, scale, type_size)
        y += row
    return _draw_baths(page, Box(box.x, y, box.width, row), sounds, scale, type_size)


def _columns(
    box: Box, parts: Sequence[Sequence[DrawnCue]], scale: _Scale, size: float
) -> tuple[list[Box], float]:
    """Columns as wide as they need, halves where halves do, and one size of type for all."""
    drawn = [_widest(part) * scale.per_ms + _TO_WORDS + 1 for part in parts]
    words = [max(width_of(sound.says, 1) for sound in part) for part in parts]
    room = box.width - _GAP * (len(parts) - 1)
    size = max(_LEAST, min(size, (room - sum(drawn)) / max(0.01, sum(words))))
    if len(parts) < 2:
        return [box][: len(parts)], size
    first, second = (pulses + size * says for pulses, says in zip(drawn, words, strict=True))
    first = min(max(first, room / 2), room - second)
    return [
        box._replace(width=first),
        box._replace(x=box.x + first + _GAP, width=room - first),
    ], size


def _widest(part: Sequence[DrawnCue]) -> int:
    return max(sound.length_ms for sound in part)


def _scale(sounds: DrawnCues, width: float, size: float) -> _Scale:
    pulses = [pulse for sound in (*sounds.plain, *sounds.baths) for pulse in sound.pulses]
    notes = [log2(pulse.frequency) for pulse in pulses] or [0.0]
    longest = max((sound.length_ms for sound in sounds.plain), default=1)
    says = max((width_of(s.says, size) for s in sounds.plain if s.length_ms > _LONG_MS), default=0)
    per_ms = min(0.03, (width - says - 14) / longest)
    return _Scale(per_ms, min(notes), max(notes))


def _draw_heading(page: Page, box: Box, rule: str, scale: _Scale, size: float) -> float:
    y = box.y + size
    second = 1000 * scale.per_ms
    page.line([box.right - second, box.right], [y - 3, y - 3], 0.5)
    for x in (box.right - second, box.right):
        page.line([x, x], [y - 5.5, y - 0.5], 0.5)
    page.words(box.right - second - 5, y, "one second", 0.9 * size, align="right", ink=SOFT)
    page.words(box.x, y, "Sounds", size + 1.5, bold=True)
    lines = wrapped_within(rule, box.width, size, 2)
    return page.lines(box.x, y + 1.6 * size, lines, size) - 0.2 * size


def _draw(page: Page, box: Box, sound: DrawnCue, width: float, scale: _Scale, size: float) -> None:
    _draw_pulses(page, box.x, box.y + 0.55 * box.height, sound.pulses, scale)
    room = box.width - width - _TO_WORDS
    size = fitting_size(sound.says, room, size, _LEAST)
    text = shortened(sound.says, room, size)
    page.words(box.x + width + _TO_WORDS, box.y + 0.55 * box.height + 0.36 * size, text, size)


def _draw_pulses(
    page: Page, x: float, middle: float, pulses: Sequence[Pulse], scale: _Scale
) -> None:
    for pulse in pulses:
        y = middle + _RISE / 2 - scale.rise(pulse.frequency) - _THICK / 2
        left, width = x + pulse.at_ms * scale.per_ms, pulse.length_ms * scale.per_ms
        page.bar(Box(left, y, width, _THICK), name="pulse")


def _draw_baths(page: Page, box: Box, sounds: DrawnCues, scale: _Scale, size: float) -> float:
    """The enter cue once, then what follows it for each bath, over as many lines as they take."""
    if sounds.enter is None:
        return box.y
    middle = box.y + 0.55 * box.height
    _draw_pulses(page, box.x, middle, sounds.enter.pulses, scale)
    x = box.x + sounds.enter.length_ms * scale.per_ms + 8
    x += page.words(x, middle + 0.36 * size, sounds.enter.says, size) + 14
    y = box.y
    for bath in sounds.baths:
        drawn = bath.length_ms * scale.per_ms
        needed = drawn + 5 + width_of(bath.says, size) + 14
        if x + needed - 14 > box.right:
            x, y = box.x + 40, y + box.height
        middle = y + 0.55 * box.height
        _draw_pulses(page, x, middle, bath.pulses, scale)
        page.words(x + drawn + 5, middle + 0.36 * size, bath.says, size)
        x += needed
    return y + box.height
