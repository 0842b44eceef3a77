"""``darktimer mix``: the bench sheets of plans, or what to buy for them."""

from typing import TYPE_CHECKING

import click

from darktimer import units
from darktimer.cli.offered import forms, offers
from darktimer.cli.options import VOLUME, Read, ShippedOrFile, json_option, measures_option

if TYPE_CHECKING:  # the bench is loaded when the command runs
    from darktimer.bench.shopping import InStock
    from darktimer.bench.substances import Form
    from darktimer.plan.temperature import ThermometerReading


def _form(text: str) -> "Form":
    from darktimer.bench.substances import form_named

    return form_named(text)


def _in_stock(text: str) -> "InStock":
    from darktimer.bench.shopping import in_stock

    return in_stock(text)


def _reading(text: str) -> "ThermometerReading":
    from darktimer.plan.temperature import reading

    temperature, after, time = text.partition(" after ")
    return reading(f"{units.with_scale(temperature)}{after}{time}" if after else text)


@click.command("mix")
@click.argument(
    "plans", metavar="PLAN...", type=ShippedOrFile("sequences"), nargs=-1, required=True
)
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
@click.option(
    "--shopping", "buying", is_flag=True, help="Print what to buy for all of the plans together."
)
@click.option(
    "--in-stock",
    multiple=True,
    type=Read("name=amount", _in_stock),
    help="What the cupboard holds, such as 'sodium carbonate anhydrous=300 g'; may be given again. "
    "It is taken off what is to be bought.",
)
@measures_option
@json_option
def command(
    plans: tuple[str, ...],
    have: tuple["Form", ...],
    scale_g: float,
    container_ml: float | None,
    reading: "ThermometerReading | None",
    buying: bool,
    in_stock: "tuple[InStock, ...]",
    measures: str,
    as_json: bool,
) -> None:
    """Print what to weigh, mix, watch for and throw away for each PLAN.

    A bath finds its recipe by name, title or file: in the plan, beside it, or among those shipped.
    A bath that is kept from another evening (darktimer baths) is listed with what it can still do.

    \b
    Example:
      darktimer mix open-tub-half-agitation
      darktimer mix my-plan.yaml --scale '1 g'
      darktimer mix long-stand semi-stand --shopping
    """
    if in_stock and not buying:
        raise click.UsageError("--in-stock goes with --shopping: add it, or leave this out.")

    from darktimer.bench.bath_sheet import BenchOptions
    from darktimer.bench.shopping import shopping
    from darktimer.bench.unit_system import unit_system_named
    from darktimer.pages.bench import print_sheet
    from darktimer.pages.shopping import print_shopping, shopping_json
    from darktimer.prepare.prepared import prepare
    from darktimer.prepare.sheet import sheets_of
    from darktimer.terminal.text import print_json, say

    prepared = [prepare(plan, "standard", None) for plan in plans]  # the rest is not mixed for
    options = BenchOptions(have, scale_g, container_ml, reading, unit_system_named(measures))
    sheets = sheets_of(prepared, options)
    if buying:
        found = shopping(sheets, in_stock, options.say)
        if as_json:
            print_json(shopping_json(found))
        else:
            print_shopping(found, options.say)
    elif as_json:
        print_json(sheets[0].as_json() if len(sheets) == 1 else [each.as_json() for each in sheets])
    else:
        for sheet, plan in zip(sheets, prepared, strict=True):
            print_sheet(sheet, options.say, plan.unknown)
            if sheet is not sheets[-1]:
                say("")
