"""The command line: one file a command, and the only place that prints."""

from darktimer.cli.root import main

__all__ = ["main"]
