"""The sound server of the device tests serves whole runs too."""

from tests.device.conftest import server

__all__ = ["server"]
