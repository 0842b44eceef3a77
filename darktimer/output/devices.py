"""The speakers a system offers, by the names people know, and which one is meant."""

from typing import Final, NamedTuple

from darktimer.errors import OutputError

#: What to do instead of playing live, for the end of an error's text.
RENDER_INSTEAD: Final = "or write a file with darktimer render and play that"


class Device(NamedTuple):
    """Something that plays or hears sound. ``number`` holds until the list is read afresh."""

    number: int
    name: str
    system: str
    channels: int
    rate: int
    is_default: bool


def chosen(name: str | None, among: tuple[Device, ...], kind: str = "speaker") -> Device:
    """The device of that name, whole or in part, or the default. Raises `OutputError`."""
    if not among:
        remedy = f"plug one in or start the sound server, {RENDER_INSTEAD}"
        raise OutputError("speaker", "there is none", remedy)
    if name is None:
        return next((each for each in among if each.is_default), among[0])
    wanted = name.casefold()
    known = [(each, f"{each.name}, {each.system}".casefold()) for each in among]
    whole = [each for each, full in known if wanted in (each.name.casefold(), full)]
    for meant in (whole, [each for each, full in known if wanted in full]):
        if len({each.name for each in meant}) == 1:
            return next((each for each in meant if each.is_default), meant[0])
        if meant:
            raise OutputError(name, f"this may be any of several {kind}s", _write_one_of(meant))
    raise OutputError(name, f"there is no such {kind}", _write_one_of(among))


def _write_one_of(among: tuple[Device, ...] | list[Device]) -> str:
    names = dict.fromkeys(each.name for each in among)
    return f"write one of: {'; '.join(names)}"
