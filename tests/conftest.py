"""What holds for all tests."""

from hypothesis import settings

# Machines are shared and slow at times; speed is measured in tests/benchmarks, not here.
settings.register_profile("unhurried", deadline=None)
settings.load_profile("unhurried")
