"""``darktimer completion``: what a shell needs to complete commands, plans and cue sets."""

import click
from click.shell_completion import get_completion_class

#: A zsh that nobody has set up completes nothing yet.
_ZSH_BEGINS = "(( $+functions[compdef] )) || { autoload -Uz compinit && compinit }"


@click.command("completion")
@click.argument("shell", metavar="SHELL", type=click.Choice(["bash", "zsh", "fish"]))
@click.pass_context
def command(ctx: click.Context, shell: str) -> None:
    """Print the lines that make SHELL complete darktimer's commands, plans and cue sets.

    \b
    Example:
      darktimer completion bash >> ~/.bashrc
    """
    made = get_completion_class(shell)
    assert made is not None
    root = ctx.find_root().command
    if shell == "zsh":
        click.echo(_ZSH_BEGINS)
    click.echo(made(root, {}, "darktimer", "_DARKTIMER_COMPLETE").source())
