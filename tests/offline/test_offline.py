"""The ban on the network holds, here and in children; so nothing else in this suite used it."""

import socket
import subprocess
import sys

import pytest


@pytest.mark.parametrize("ask", ["connect", "bind"])
def test_sockets_are_forbidden(ask: str) -> None:
    with (
        socket.socket(socket.AF_INET, socket.SOCK_STREAM) as asked,
        pytest.raises(PermissionError, match="offline"),
    ):
        getattr(asked, ask)(("127.0.0.1", 0))


def test_names_are_not_looked_up() -> None:
    with pytest.raises(PermissionError, match="offline"):
        socket.getaddrinfo("localhost", 80)


def test_children_are_offline_too() -> None:
    code = "import socket; socket.create_connection(('127.0.0.1', 9))"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert "PermissionError: this program is offline" in done.stderr
