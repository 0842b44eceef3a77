"""``darktimer schema``: the JSON Schema of plans, for editors."""

import click

from darktimer.terminal.text import print_json


@click.command("schema")
def command() -> None:
    """Print the JSON Schema of plans, which lets an editor complete and check them.

    \b
    Example:
      darktimer schema > plan.schema.json
    """
    from darktimer.plan.schema import plan_schema

    print_json(plan_schema())
