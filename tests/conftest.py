"""What holds for all tests: nobody hurries them, and nothing reaches for the network."""

import os
import runpy
from pathlib import Path

from hypothesis import settings

# Machines are shared and slow at times; speed is measured in tests/benchmarks, not here.
settings.register_profile("unhurried", deadline=None)
settings.load_profile("unhurried")

_OFFLINE = Path(__file__).parent / "offline"
runpy.run_path(str(_OFFLINE / "sitecustomize.py"))
_paths = [str(_OFFLINE), os.environ.get("PYTHONPATH", "")]
os.environ["PYTHONPATH"] = os.pathsep.join(filter(None, _paths))
