"""Options for what densities that were read are to come to: a gamma, or a contrast index."""

from collections.abc import Callable
from functools import wraps
from typing import Any, Final

import click

from darktimer.cli.options import RealNumber

_MEASURES: Final = ("gamma", "contrast index")


def wanted_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """Adds ``--gamma`` and ``--contrast-index``; the command is given the one as ``wanted``."""

    @wraps(command)
    def gathered(**given: Any) -> Any:
        values = {measure: given.pop(measure.replace(" ", "_")) for measure in _MEASURES}
        return command(wanted=_one(values), **given)

    for measure in reversed(_MEASURES):
        gathered = click.option(
            f"--{measure.replace(' ', '-')}",
            type=RealNumber(0.05, 5),
            help=f"The {measure} wanted, where densities were read.",
        )(gathered)
    return gathered


def _one(values: dict[str, float | None]) -> Any:
    from darktimer.journal.piece_times import Wanted

    asked = [Wanted(measure, value) for measure, value in values.items() if value is not None]
    if len(asked) > 1:
        raise click.UsageError("give --gamma or --contrast-index, not both")
    return asked[0] if asked else None
