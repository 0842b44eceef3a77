"""Quantities as people write them, and the one rounding from milliseconds to frames.

Reads text such as ``7:30``, ``20 C``, ``32 US fl oz``, ``1/2`` into plain numbers whose unit stands
in the function's name. Conversion factors are the exact legal definitions (the avoirdupois pound of
0.45359237 kg, the inch of 25.4 mm, the US gallon of 231 cubic inches, the imperial gallon of
4.54609 l); the tests hold them against a unit library, which is too slow to load for each command.
"""

import re
from collections.abc import Mapping
from fractions import Fraction
from math import log10
from typing import Final
from unicodedata import normalize

from darktimer.errors import UnreadableError

#: No process by hand lasts longer; a longer one is a slip of the pen.
LONGEST_MS: Final = 48 * 3_600_000

_DECIMAL: Final = r"[0-9]{1,40}(?:\.[0-9]{1,40})?"
_VULGAR: Final = "[¼-¾⅐-⅞]"
#: A number of something, as `number` reads it: 40, 0.5, 1/2, 1 1/2, ½, 1½; for editors too.
NUMBER: Final = (
    r"(?:(?:[0-9]{1,9}\s+)?[0-9]{1,9}\s*/\s*0*[1-9][0-9]{0,3}"
    rf"|[0-9]{{0,9}}\s*{_VULGAR}|{_DECIMAL})"
)
_QUANTITY = re.compile(rf"(?P<minus>-?)(?P<number>{NUMBER})\s*(?P<unit>[^0-9\s/,.][^0-9]*)")
_CLOCK = re.compile(r"(?:([0-9]{1,4}):)?([0-9]{1,4}):([0-9][0-9](?:\.[0-9]{1,3})?)")
#: A blank between a figure and its unit, at which no line is broken.
TIED: Final = "\u00a0"
_BEFORE_UNIT = re.compile(r"(?<=\d) (?=(?:s|min|h|ml|l|mg|g|kg|m|mm|in|dB|°C|°F)\b|%)")
_INDEX = re.compile(rf"({_DECIMAL})(?:\s*/\s*([0-9]{{1,2}})\s*°?)?|([0-9]{{1,2}})\s*°")
_PART = re.compile(rf"({NUMBER})\s*([a-z]+|['\"′″])\s*")

_MS: Final[Mapping[str, int]] = {
    **dict.fromkeys(("h", "hr", "hrs", "hour", "hours"), 3_600_000),
    **dict.fromkeys(("min", "mins", "minute", "minutes", "m", "'", "′"), 60_000),
    **dict.fromkeys(("s", "sec", "secs", "second", "seconds", '"', "″"), 1000),
    "ms": 1,
}
ML: Final[Mapping[str, float]] = {
    "ml": 1.0,
    "cl": 10.0,
    "dl": 100.0,
    "l": 1000.0,
    "litre": 1000.0,
    "litres": 1000.0,
    "liter": 1000.0,
    "liters": 1000.0,
    "us fl oz": 3785.411784 / 128,
    "us pint": 3785.411784 / 8,
    "us quart": 3785.411784 / 4,
    "us gallon": 3785.411784,
    "imperial fl oz": 4546.09 / 160,
    "imperial pint": 4546.09 / 8,
    "imperial quart": 4546.09 / 4,
    "imperial gallon": 4546.09,
}
G: Final[Mapping[str, float]] = {
    "mg": 0.001,
    "g": 1.0,
    "kg": 1000.0,
    "avoirdupois oz": 453.59237 / 16,
    "lb": 453.59237,
}
_M: Final[Mapping[str, float]] = {
    "mm": 0.001,
    "cm": 0.01,
    **dict.fromkeys(("m", "metre", "metres", "meter", "meters"), 1.0),
    **dict.fromkeys(("in", "inch", "inches"), 0.0254),
    **dict.fromkeys(("ft", "foot", "feet"), 0.3048),
}

_KINDS: Final = {"a volume": ML, "a mass": G, "a length": _M}
_UNITS: Final = "|".join(sorted((*ML, *G, *_M, "c", "f"), key=len, reverse=True))
#: A quantity by its unit alone, whatever stands before that.
_ENDING = re.compile(rf"(?P<number>.*?)\s*(?<![a-z])(?:°|deg\s)?\s*(?P<unit>{_UNITS})")

#: Whole numbers as people say them, each in its place.
WORDS: Final = (
    *("zero", "one", "two", "three", "four", "five", "six"),
    *("seven", "eight", "nine", "ten", "eleven", "twelve"),
)

#: The arithmetic scale from 21° to 30°, each ten degrees of which is ten times the one before, and
#: what is rounded further at its low end.
_SPEEDS: Final = (100, 125, 160, 200, 250, 320, 400, 500, 640, 800)
_LOW_SPEEDS: Final[Mapping[int, float]] = {2: 1.2, 6: 3, 9: 6, 12: 12}
_HIGHEST_DEGREES: Final = 51

#: Baths are warmer than the lower of these in F, and cooler than the higher in C.
_LEAST_F, _MOST_C = 50, 40

_DURATIONS: Final = "write a duration such as 15 min, 7:30, 90 s, 12.5 min or 1 h 5 min"


def shown(written: str) -> str:
    """What was written, in quotes and cut to a length that fits a line."""
    return repr(written if len(written) <= 40 else written[:37] + "...")


def counted(number: int, one: str, many: str = "") -> str:
    """How many of what: ``1 run``, ``2 runs``, ``3 notches``."""
    return f"{number} {one if number == 1 else many or f'{one}s'}"


def frames(ms: int, rate: int) -> int:
    """The frame nearest to ``ms`` milliseconds at ``rate`` frames a second, halves upward."""
    return (ms * rate + 500) // 1000


def whole_second(ms: float) -> int:
    """The nearest whole second, in milliseconds, halves upward: the one rounding of such times."""
    return int((ms + 500) // 1000) * 1000


def next_second(ms: float) -> int:
    """The whole second that is not before ``ms``, in milliseconds."""
    return -int(-ms // 1000) * 1000


def nearest_clock(ms: float) -> str:
    """A length of time to the nearest second, as every page and plot shows it; 0:00 before zero."""
    return clock(whole_second(max(0, ms)))


def known_clock(ms: float | None) -> str:
    """The same, and a dash where it is not known."""
    return "-" if ms is None else nearest_clock(ms)


def seconds_off(planned_ms: float, real_ms: float) -> int:
    """How much longer than planned, in seconds, as both are shown."""
    return (whole_second(real_ms) - whole_second(planned_ms)) // 1000


def seconds_clock(ms: int) -> str:
    """What a clock of whole seconds shows at ``ms``: 0:12 until it is 0:13; 0:00 before zero."""
    return clock(max(0, ms) // 1000 * 1000)


def is_none(text: str) -> bool:
    """Whether ``text`` switches something off; ``no`` is what people write, and here it is text."""
    return text.strip().lower() in ("none", "no", "off", "0", "0 s")


def number(text: str) -> Fraction:
    """A number that `NUMBER` allows, exactly; raises `UnreadableError` for any other text."""
    if not re.fullmatch(NUMBER, text.strip()):
        found = f"{shown(text)} is not a number"
        raise UnreadableError(found, "write one such as 2, 0.5, 1/2 or 1 1/2")
    spelled = re.sub(_VULGAR, lambda vulgar: " " + normalize("NFKC", vulgar[0]), text)
    whole = re.sub(r"\s*[/⁄]\s*", "/", spelled).split()
    return sum(map(Fraction, whole), Fraction())


def duration_or_none_ms(text: str) -> int:
    """Milliseconds in a duration, 0 where there is to be none; raises `UnreadableError`."""
    return 0 if is_none(text) else duration_ms(text)


def duration_ms(text: str) -> int:
    """Milliseconds in a duration above zero and at most 48 hours; raises `UnreadableError`."""
    return _positive_ms(text, _exact_ms(text.strip().lower(), text))


def _exact_ms(text: str, written: str) -> Fraction:
    if clock := _CLOCK.fullmatch(text):
        return _clock_ms(clock, written)
    total, smallest, at = Fraction(), LONGEST_MS, 0
    while at < len(text):
        part = _PART.match(text, at)
        unit = _MS.get(part[2]) if part else None
        if not part or unit is None or unit >= smallest:
            raise UnreadableError(_looks_like(written), _DURATIONS)
        total, smallest, at = total + number(part[1]) * unit, unit, part.end()
    return total


def _clock_ms(clock: re.Match[str], written: str) -> Fraction:
    hours, minutes, seconds = clock[1], int(clock[2]), Fraction(clock[3])
    if seconds >= 60 or (hours and minutes >= 60):
        raise UnreadableError(f"{shown(written)} counts past 59", _DURATIONS)
    return ((int(hours or 0) * 60 + minutes) * 60 + seconds) * 1000


def _positive_ms(written: str, ms: Fraction) -> int:
    if ms <= 0:
        raise UnreadableError(_looks_like(written), _DURATIONS)
    if ms > LONGEST_MS:
        raise UnreadableError(f"{shown(written)} is longer than 48 hours", _DURATIONS)
    if ms != int(ms):
        raise UnreadableError(f"{shown(written)} is finer than a millisecond", _DURATIONS)
    return int(ms)


def _looks_like(written: str) -> str:
    """Says what is odd about a duration that cannot be read."""
    text = written.strip()
    if text.startswith("-"):
        return f"{shown(written)} is negative"
    if re.match(r"0+(\.0+)?\s*([a-z]+)?$|0+:0+$", text):
        return f"{shown(written)} is not above zero"
    return _odd(written, "a duration")


def temperature_celsius(text: str) -> float:
    """Degrees Celsius from ``20 C`` or ``68 F``; raises `UnreadableError`."""
    remedy = "write a temperature such as 20 C or 68 F"
    value, unit = _split(text, remedy)
    scale = unit.replace("°", "").replace("deg", "").strip().upper()
    if scale in ("C", "CELSIUS"):
        return value
    if scale in ("F", "FAHRENHEIT"):
        return (value - 32) / 1.8
    raise UnreadableError(f"{shown(text)} is not in C or F", remedy)


def with_scale(answer: str) -> str:
    """A temperature that somebody answers, ``20`` or ``68 F``, with the scale it must have.

    A plan is read by others, and says C or F. Raises `UnreadableError` where it may be either.
    """
    bare = re.fullmatch(rf"({_DECIMAL})\s*(?:°|deg(?:rees?)?)?", answer.strip())
    if not bare:
        return answer
    if _MOST_C < float(bare[1]) < _LEAST_F:
        found = f"{shown(answer)} may be C or F"
        raise UnreadableError(found, f"write {bare[1]} C or {bare[1]} F")
    return f"{bare[1]} {'C' if float(bare[1]) <= _MOST_C else 'F'}"


def answered_celsius(answer: str) -> float:
    """Degrees Celsius from an answer, with its scale or without; raises `UnreadableError`."""
    return temperature_celsius(with_scale(answer))


def volume_ml(text: str) -> float:
    """Millilitres from ``1.5 l``, ``500 ml``, ``32 US fl oz``; raises `UnreadableError`."""
    remedy = "write a volume such as 500 ml, 1.5 l, 32 US fl oz or 35 imperial fl oz"
    ounces = "is 29.6 ml in the US and 28.4 ml in imperial measure"
    return _within(_scaled(text, ML, remedy, ounces), 0.01, 1e6, text, "from 0.01 ml to 1000 l")


def has_unit_of_volume(text: str) -> bool:
    """Whether a quantity is one of volume by its unit, whatever its number."""
    ending = _ENDING.fullmatch(_squeezed(text))
    return bool(ending and ending["unit"] in ML)


def _squeezed(text: str) -> str:
    """Small letters, single blanks and no points of abbreviation: ``1.5 US fl. oz``."""
    return re.sub(r"\s+", " ", re.sub(r"(?<![0-9])\.|\.(?![0-9])", "", text.strip().lower()))


def mass_g(text: str) -> float:
    """Grams from ``40 g``, ``1.2 kg``, ``2 avoirdupois oz``; raises `UnreadableError`."""
    remedy = "write a mass such as 40 g, 1.2 kg or 2 avoirdupois oz"
    grams = _scaled(text, G, remedy, "may be a mass or a volume")
    return _within(grams, 0.0001, 1e5, text, "from 0.1 mg to 100 kg")


def length_m(text: str) -> float:
    """Metres from ``100 ft``, ``30 m``, ``4 cm``; raises `UnreadableError`."""
    remedy = "write a length such as 100 ft, 30 m or 25 cm"
    return _within(
        _scaled(text, _M, remedy, "is not a length"), 0.005, 1e3, text, "from 5 mm to 1 km"
    )


def _within(value: float, least: float, most: float, text: str, allowed: str) -> float:
    """``value`` where hands could work with it; anything else is a slip of the pen."""
    if least <= value <= most:
        return value
    size = "little" if value < least else "much"
    raise UnreadableError(f"{shown(text)} is too {size} for work by hand", f"write {allowed}")


def _scaled(text: str, factors: Mapping[str, float], remedy: str, of_bare_ounces: str) -> float:
    value, unit = _split(text, remedy)
    name = _squeezed(unit)
    if name in ("oz", "fl oz", "ounce", "ounces"):
        raise UnreadableError(f"{shown(text)} is ambiguous: an ounce {of_bare_ounces}", remedy)
    if name not in factors:
        wanted = next(kind for kind, units in _KINDS.items() if units is factors)
        other = (f"is {kind}, not {wanted}" for kind, units in _KINDS.items() if name in units)
        raise UnreadableError(f"{shown(text)} {next(other, 'has no unit known here')}", remedy)
    if value <= 0:
        raise UnreadableError(f"{shown(text)} is not above zero", remedy)
    return value * factors[name]


def _split(text: str, remedy: str) -> tuple[float, str]:
    match = _QUANTITY.fullmatch(text.strip())
    if not match:
        raise UnreadableError(_odd(text, "a quantity"), remedy)
    value = float(number(match["number"]))
    return -value if match["minus"] else value, match["unit"].strip()


def _odd(text: str, what: str) -> str:
    """Says what is odd about text that was to be ``what`` and cannot be read."""
    if not text.strip():
        return "nothing is written"
    if re.search(r"[0-9],[0-9]", text):
        return f"{shown(text)} has a comma where a point is meant"
    if re.fullmatch(f"-?{NUMBER}", text.strip()):
        return f"{shown(text)} has no unit"
    if ending := _ENDING.fullmatch(_squeezed(text)):
        before = ending["number"]
        return f"{shown(before)} is not a number" if before else f"{shown(text)} has no number"
    return f"{shown(text)} is not {what}"


def share(text: str) -> Fraction:
    """An exact share above 0 and at most 1, from ``1/2``, ``50 %`` or ``0.5``."""
    remedy = "write a share such as 1/2, 50 % or 0.5, above 0 and at most 1"
    match = re.fullmatch(rf"({NUMBER})\s*(%)?", text.strip())
    if not match:
        raise UnreadableError(f"{shown(text)} is not a share", remedy)
    value = number(match[1]) / (100 if match[2] else 1)
    if not 0 < value <= 1:
        raise UnreadableError(f"{shown(text)} is not above 0 and at most 1", remedy)
    return value


def index_degrees(text: str) -> int:
    """An exposure index in degrees, from ``200``, ``200/24°`` or ``24°``.

    S° = 10 lg S + 1, to the whole degree, a third of a stop. Raises `UnreadableError`.
    """
    remedy = "write an exposure index such as 200, 200/24° or 24°, from 0.8/0° to 100000/51°"
    match = _INDEX.fullmatch(text.strip())
    if not match or len(text) > 24:
        raise UnreadableError(f"{shown(text)} is not an exposure index", remedy)
    degrees = speed_degrees(float(match[1])) if match[1] else int(match[3])
    if match[2] and int(match[2]) != degrees:
        raise UnreadableError(f"{shown(text)} says two things: {match[1]} is {degrees}°", remedy)
    if not 0 <= degrees <= _HIGHEST_DEGREES:
        raise UnreadableError(f"{shown(text)} is out of range", remedy)
    return degrees


def speed_degrees(arithmetic: float) -> int:
    """The whole degrees nearest to an arithmetic speed or index; all below 0.01 are alike."""
    return round(10 * log10(max(arithmetic, 0.01)) + 1)


def exposure_index(degrees: int) -> str:
    """An index in degrees as films and meters give it: ``200/24°``."""
    decade, step = divmod(degrees - 1, 10)
    arithmetic = _LOW_SPEEDS.get(degrees, _SPEEDS[step] * 10.0 ** (decade - 2))
    return f"{arithmetic:.6g}/{degrees}°"


def count(text: str, least: int, most: int) -> int:
    """A whole number from ``least`` to ``most``, a small one also in a word, ``two``.

    Raises `UnreadableError`.
    """
    remedy = f"write a whole number from {least} to {most}"
    word = text.strip().lower()
    if word not in WORDS and not re.fullmatch(r"[0-9]{1,9}", word):
        raise UnreadableError(f"{shown(text)} is not a whole number", remedy)
    found = WORDS.index(word) if word in WORDS else int(word)
    if not least <= found <= most:
        raise UnreadableError(f"{shown(text)} is out of range", remedy)
    return found


def tied_to_units(text: str) -> str:
    """Each figure and its unit as one word, where lines are to be broken."""
    return _BEFORE_UNIT.sub(TIED, text)


def degrees(celsius: float) -> str:
    """Degrees Celsius as every page shows them: 20.0 °C."""
    return f"{celsius:.1f} °C"


def clock(ms: int) -> str:
    """A time as a clock shows it: ``7:30``, ``1:05:00``, ``0:12.5``; never rounded."""
    seconds, rest = divmod(ms, 1000)
    minutes, seconds = divmod(seconds, 60)
    hours, minutes = divmod(minutes, 60)
    tail = f".{rest:03}".rstrip("0") if rest else ""
    head = f"{hours}:{minutes:02}" if hours else f"{minutes}"
    return f"{head}:{seconds:02}{tail}"
