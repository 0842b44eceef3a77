"""A plan drafted from a few answers: what is usual where nothing is answered, and its YAML text.

Answers are text, as people write them; the text drafted from them is read back by the plan's own
reader, which alone judges them. Knows nothing of who asks and how.
"""

from collections.abc import Callable, Iterator, Mapping
from typing import Any, Final

import yaml

from darktimer.errors import UnreadableError
from darktimer.plan.agitation import WAYS
from darktimer.plan.film import LIGHT
from darktimer.plan.formats import measure_of
from darktimer.units import count, duration_ms

Answers = Mapping[str, str]

#: The answer that leaves a key out of the plan.
UNKNOWN: Final = "unknown"
#: The answer that leaves the loading out.
BEFOREHAND: Final = "beforehand"
#: What can come between developer and fixer.
BETWEEN: Final = ("rinse", "stop")

#: In a shorter develop the ways that rest have no room.
_ROOM_TO_REST_MS: Final = 180_000
_SHUFFLE_MS: Final = 5_000
#: Lifting a sheet, letting it drain and laying it into the next tray.
_SHEET_S: Final = 10


def _amount(answers: Answers) -> str:
    reel = "100 ft" if answers["film"] == "16 mm" else "50 ft"
    return {"length": reel, "sheets": "4", "count": "1"}[measure(answers)]


def _vessel(answers: Answers) -> str:
    kinds = {"length": "bucket", "sheets": "tray", "count": "spiral tank"}
    return kinds[measure(answers)]


def _light(answers: Answers) -> str:
    return "closed" if answers["vessel"] in ("spiral tank", "drum") else "open"


def _agitation(answers: Answers) -> str:
    develop_ms = _ms(answers["develop"])
    if in_tray(answers):
        round_ms = _SHUFFLE_MS * (_sheets(answers) + 1)
        return "shuffle" if 2 * round_ms <= develop_ms else "continuous"
    if develop_ms < _ROOM_TO_REST_MS:
        return "continuous"
    if answers["vessel"] == "drum":
        return "rotation"
    return "inversions" if answers["light"] == "closed" else "half"


def _fix(answers: Answers) -> str:
    """Twice the clearing time (Navy training manual 14209), and not less than is common."""
    if answers["clearing"] == UNKNOWN:
        return _minutes(answers, 8)
    seconds = -(-2 * _ms(answers["clearing"]) // 1000)
    least = _minutes(answers, 5)
    if 1000 * seconds <= _ms(least):
        return least
    return f"{seconds // 60} min" if seconds % 60 == 0 else f"{seconds} s"


def _minutes(answers: Answers, usual: int) -> str:
    """A bath of so many minutes, or longer where many sheets change trays one after another."""
    sheets = _sheets(answers) if in_tray(answers) else 0
    return f"{max(usual, -(-(sheets * _SHEET_S + 30) // 60))} min"


#: Every question in its order, with what is usual after the answers before it. Times and numbers
#: are common practice, with no source, unless their function names one.
USUAL: Final[Mapping[str, Callable[[Answers], str]]] = {
    "film": lambda _: "135-36",
    "amount": _amount,
    "stock": lambda _: UNKNOWN,
    "exposed-at": lambda _: UNKNOWN,
    "vessel": _vessel,
    "light": _light,
    "loading": lambda _: "3 min",
    "volume": lambda _: UNKNOWN,
    "developer": lambda _: "developer",
    "temperature": lambda _: "20 C",
    "develop": lambda answers: _minutes(answers, 10),
    "agitation": _agitation,
    "between": lambda _: "rinse",
    "fixer": lambda _: "fixer",
    "clearing": lambda _: UNKNOWN,
    "fix": _fix,
    "wash": lambda answers: _minutes(answers, 2),
    "changes": lambda _: "10",  # 10 to 12 changes: Navy training manual 14209
    "title": lambda answers: f"{answers['film']}, {answers['vessel']}",
}


def complete(answers: Answers) -> dict[str, str]:
    """The answers, with what is usual wherever there is none."""
    whole: dict[str, str] = {}
    for question, usual in USUAL.items():
        whole[question] = answers[question] if question in answers else usual(whole)
    return whole


def in_tray(answers: Answers) -> bool:
    """Whether the film is sheets that go one after another from tray to tray."""
    return measure(answers) == "sheets" and answers["vessel"] == "tray"


def plan_text(answers: Answers) -> str:
    """The YAML text of the plan; every question must be answered, as `complete` sees to it.

    Raises `UnreadableError` for a way of agitation that is no YAML.
    """
    return "\n".join([*_head(answers), "steps:", *_steps(answers)]) + "\n"


def _head(answers: Answers) -> Iterator[str]:
    yield "# Drafted by darktimer new: a beginning, untested on film."
    yield "# What follows a # is for you alone. Change what you like;"
    yield "# times are written 15 min, 7:30 or 90 s."
    yield line("title", _words(answers["title"]))
    yield line("film", _film(answers))
    vessel = {"kind": answers["vessel"], "light": answers["light"]}
    if answers["volume"] == UNKNOWN:
        such = "5 l" if measure(answers) == "length" else "500 ml"
        yield f"# Measure with water what covers the film, and add it: volume: {such}"
    else:
        vessel["volume"] = answers["volume"]
    yield f"# open: {LIGHT['open']}."
    yield f"# closed: {LIGHT['closed']} only."
    yield line("vessel", vessel)
    yield line("temperature", answers["temperature"])
    if in_tray(answers):
        yield "# For each sheet: lift it, let it drain, lay it into the next tray."
        yield f"habits: {{transfer: {_SHEET_S} s}}"


def _film(answers: Answers) -> dict[str, Any]:
    film = {"format": answers["film"], measure(answers): plain(answers["amount"])}
    said = {"stock": _words(answers["stock"]), "exposed at": answers["exposed-at"]}
    return film | {key: each for key, each in said.items() if each != UNKNOWN}


def _steps(answers: Answers) -> Iterator[str]:
    if answers["loading"] != BEFOREHAND:
        yield "  # A sound file allows this much; a live run waits for you."
        yield f"  - {line('load', answers['loading'])}"
    if in_tray(answers):
        yield "  # Wet sheets do not stick to each other."
        yield f"  - soak: {_minutes(answers, 1)}"
    yield "  # From the developer's label, your notes or a test, at this temperature."
    yield f"  - {line('develop', answers['develop'])}"
    yield f"    {line('bath', _words(answers['developer']))}"
    yield f"    {line('agitation', _way(answers['agitation']))}"
    yield f"  - {line(answers['between'], _minutes(answers, 1))}"
    yield "  # At least twice the time in which a scrap of film turns clear in it."
    yield f"  - {line('fix', answers['fix'])}"
    yield f"    {line('bath', _words(answers['fixer']))}"
    if answers["clearing"] == UNKNOWN:
        yield "    # Find that time in the light and add it here, such as clearing: 3 min"
    else:
        yield f"    {line('clearing', answers['clearing'])}"
    yield f"  - {line('wash', answers['wash'])}"
    yield f"    {line('repeat', plain(answers['changes']))}"


def line(key: str, value: Any) -> str:
    """One line of YAML."""
    """A key and its value on one line; within brackets, so that text is quoted where it must be."""
    style: Any = {"default_flow_style": True, "sort_keys": False, "allow_unicode": True}
    written: str = yaml.safe_dump([value], width=float("inf"), **style)
    return f"{key}: {written.strip()[1:-1]}"


def _way(answer: str) -> Any:
    """A way of agitation by its name here, or as a plan writes it."""
    written = WAYS.get(answer, answer)
    if not written.startswith("{"):
        return written
    try:
        return plain(yaml.load(written, Loader=yaml.BaseLoader))
    except yaml.YAMLError:
        remedy = f"write it as a plan does, such as {WAYS['inversions']}"
        raise UnreadableError(f"{answer!r} cannot be read", remedy) from None


def plain(value: Any) -> Any:
    """Whole numbers as numbers, so that they stand without quotes."""
    if isinstance(value, dict):
        return {key: plain(each) for key, each in value.items()}
    if isinstance(value, list):
        return [plain(each) for each in value]
    return int(value) if value.isascii() and value.isdigit() and len(value) < 10 else value


def _words(answer: str) -> str:
    return " ".join(answer.split())


def measure(answers: Answers) -> str:
    """The key that says how much film there is: count, length or sheets."""
    return measure_of(answers["film"])


def _ms(answer: str) -> int:
    """A duration, or none where it cannot be read, which the reader will say."""
    try:
        return duration_ms(answer)
    except UnreadableError:
        return 0


def _sheets(answers: Answers) -> int:
    try:
        return count(answers["amount"], 1, 60)
    except UnreadableError:
        return 1
