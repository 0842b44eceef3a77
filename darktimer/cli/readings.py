"""Options for what was read of a strip: densities, and the exposures that made them."""

from collections.abc import Callable
from functools import wraps
from typing import TYPE_CHECKING, Any

import click

from darktimer.cli.options import Read

if TYPE_CHECKING:  # loaded when somebody gives readings
    from darktimer.journal.readings import Readings


def _by(name: str) -> Callable[[str], Any]:
    """The function of that name that reads a strip's figures, loaded when it is called."""

    def read(text: str) -> Any:
        from darktimer.sensitometry import strip

        return getattr(strip, name)(text)

    return read


def _tablet(text: str) -> str:
    _by("tablet")(text)
    return text


def reading_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """Adds the options; the command is given ``readings``, None where no densities were given."""

    @click.option(
        "--densities",
        metavar="D,D,...",
        type=Read("densities", _by("densities")),
        help="As read of a strip, in order: 0.18,0.22,... or as light let through: 66 %,60 %,...",
    )
    @click.option(
        "--tablet",
        metavar="STEPS",
        type=Read("tablet", _tablet),
        help='The step tablet that it was exposed under: "21 x 0.15".',
    )
    @click.option(
        "--exposures",
        metavar="H,H,...",
        type=Read("exposures", _by("exposures")),
        help="In place of a tablet: what each step was exposed to, in lux seconds.",
    )
    @click.option(
        "--base-fog",
        metavar="D",
        type=Read("density", _by("density")),
        help="The density beside the strip, where no light came; else the foot of the curve.",
    )
    @click.option(
        "--uncertainty",
        metavar="D",
        type=Read("density", _by("uncertainty")),
        help="How far a reading may be off (standard uncertainty); 0.02 unless given.",
    )
    @wraps(command)
    def gathered(
        densities: tuple[float, ...] | None,
        tablet: str | None,
        exposures: tuple[float, ...] | None,
        base_fog: float | None,
        uncertainty: float | None,
        **given: Any,
    ) -> Any:
        beside = {"base_fog": base_fog, "uncertainty": uncertainty}
        known = {name: value for name, value in beside.items() if value is not None}
        return command(readings=_readings(densities, tablet, exposures, known), **given)

    return gathered


def _readings(
    densities: tuple[float, ...] | None,
    tablet: str | None,
    exposures: tuple[float, ...] | None,
    known: dict[str, float],
) -> "Readings | None":
    from darktimer.journal.readings import Readings

    if densities is None:
        if tablet or exposures or known:
            raise click.UsageError("add --densities, which were read of the strip")
        return None
    if tablet and exposures:
        raise click.UsageError("give --tablet or --exposures, not both")
    if not (tablet or exposures):
        raise click.UsageError("say what the strip was exposed to by --tablet or by --exposures")
    return Readings(densities, tablet or exposures or (), **known)
