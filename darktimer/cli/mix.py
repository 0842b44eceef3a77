"""``darktimer mix``: the bench sheet of a plan."""

from typing import TYPE_CHECKING

import click

from darktimer import units
from darktimer.cli.offered import forms, offers
from darktimer.cli.options import VOLUME, Read, json_option, measures_option, plan_argument

if TYPE_CHECKING:  # the bench is loaded when the command runs
    from darktimer.bench.substances import Form
    from darktimer.plan.temperature import ThermometerReading


def _form(text: str) -> "Form":
    from darktimer.bench.substances import form_named

    return form_named(text)


def _reading(text: str) -> "ThermometerReading":
    from darktimer.plan.temperature import reading

    temperature, after, time = text.partition(" after ")
    return reading(f"{units.with_scale(temperature)}{after}{time}" if after else text)


@click.command("mix")
@plan_argument
@click.option(
    "--have",
    multiple=True,
    type=Read("form", _form),
    shell_complete=offers(forms),
    help="A form you have, such as 'sodium carbonate decahydrate'; may be given again, "
    "and two that do the same work share it.",
)
@click.option(
    "--scale",
    "scale_g",
    type=Read("mass", units.mass_g),
    default="0.1 g",
    show_default=True,
    help="The smallest step your scale shows.",
)
@click.option(
    "--container",
    "container_ml",
    type=VOLUME,
    help="Mix each bath in full containers of this size.",
)
@click.option(
    "--reading",
    type=Read("reading", _reading),
    help="The bath read again, as '22 C after 10 min': times for a bath that cools or warms. "
    "The plan must give its temperature and that of the room. Its own times stay as they are: "
    "write 'drifts to' into the plan to change those.",
)
@measures_option
@json_option
def command(
    plan: str,
    have: tuple["Form", ...],
    scale_g: float,
    container_ml: float | None,
    reading: "ThermometerReading | None",
    measures: str,
    as_json: bool,
) -> None:
    """Print what to weigh, mix, watch for and throw away for PLAN.

    A bath finds its recipe by name, title or file: in the plan, beside it, or among those shipped.
    A bath that is kept from another evening (darktimer baths) is listed with what it can still do.

    \b
    Example:
      darktimer mix open-tub-half-agitation
      darktimer mix my-plan.yaml --scale '1 g'
    """
    from darktimer.bench.bath_sheet import BenchOptions
    from darktimer.bench.unit_system import unit_system_named
    from darktimer.pages.bench import print_sheet
    from darktimer.prepare.prepared import prepare
    from darktimer.prepare.sheet import sheet_of
    from darktimer.terminal.text import print_json

    prepared = prepare(plan, "standard", None)  # what cannot be carried out is not mixed for
    options = BenchOptions(have, scale_g, container_ml, reading, unit_system_named(measures))
    with prepared.file.blamed():
        sheet = sheet_of(prepared, options)
    if as_json:
        print_json(sheet.as_json())
    else:
        print_sheet(sheet, options.say, prepared.unknown)
