"""Options that a run and a rehearsal share, and what they come to."""

from collections.abc import Callable
from functools import wraps
from typing import TYPE_CHECKING, Any

import click

from darktimer import units
from darktimer.cli.options import Read, microphone_option, profile_option, rate_option
from darktimer.errors import UnreadableError
from darktimer.output.speakers import Speakers

if TYPE_CHECKING:
    from darktimer.live.knocks import Knocks


def _buffer_ms(text: str) -> int:
    """As little as sound systems can keep filled, as much as leaves an answer of any use."""
    found_ms = units.duration_ms(text)
    if not 60 <= found_ms <= 5_000:
        raise UnreadableError(f"{text!r} is out of range", "write 60 ms to 5 s")
    return found_ms


_OPTIONS: list[Callable[[Any], Any]] = [
    click.option(
        "--gates/--no-gates",
        default=None,
        help="Wait at each transfer until a key says that the film is in; or wait nowhere, also "
        "not at the end of loading. Without either a run waits for loading only.",
    ),
    profile_option,
    click.option(
        "--speaker-name",
        "name",
        metavar="NAME",
        help="The speaker to play on, as darktimer speakers names it, or a part of its name.",
    ),
    click.option(
        "--second-speaker",
        "second_choice",
        metavar="NAME",
        help="Another, for when the first is lost.",
    ),
    click.option(
        "--buffer",
        "buffer_ms",
        type=Read("duration", _buffer_ms),
        default="0.5 s",
        show_default=True,
        help="Sound handed over ahead. More survives a busier computer; a key is answered by "
        "sound this long and 0.3 s after it was pressed.",
    ),
    rate_option,
    click.option(
        "--knocks",
        "knocking",
        is_flag=True,
        help="Hear knocks on the bench as keys. Three quick knocks and, after a longer rest, one "
        "more: go on. One knock and, after a longer rest, three quick ones: where am I.",
    ),
    microphone_option,
]


def live_options(command: Any) -> Any:
    """Adds all of them to a command, which is given what concerns speakers, or knocks, as one."""

    @wraps(command)
    def gathered(knocking: bool, microphone: str | None, **given: Any) -> Any:
        speakers = Speakers(*(given.pop(word) for word in Speakers._fields))
        return command(speakers=speakers, knocks=_knocks(knocking, microphone), **given)

    for option in reversed(_OPTIONS):
        gathered = option(gathered)
    return gathered


def _knocks(knocking: bool, microphone: str | None) -> "Knocks | None":
    if knocking:
        from darktimer.live.knocks import Knocks

        return Knocks(microphone)
    if microphone:
        raise click.UsageError("--microphone is for knocks: write --knocks as well")
    return None


def written(context: click.Context) -> set[str]:
    """The parameters that really were written on the command line."""
    from_line = click.core.ParameterSource.COMMANDLINE
    return {name for name in context.params if context.get_parameter_source(name) is from_line}
