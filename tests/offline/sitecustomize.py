"""Forbids the network to this process, as tests/conftest.py does to every child of a test run.

Python runs a module of this name at its start. Sockets of the machine itself, by which a sound
server is reached, are left alone.
"""

import socket
import sys
from typing import Any

_ASKS_THE_NETWORK = {"socket.connect", "socket.bind", "socket.sendto", "socket.sendmsg"}


def _forbid(event: str, arguments: tuple[Any, ...]) -> None:
    if event == "socket.getaddrinfo":
        raise PermissionError(f"this program is offline, but it looks for {arguments[0]!r}")
    if event in _ASKS_THE_NETWORK and arguments[0].family in (socket.AF_INET, socket.AF_INET6):
        raise PermissionError(f"this program is offline, but it turns to {arguments[1]!r}")


sys.addaudithook(_forbid)
