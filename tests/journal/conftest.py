"""A disk for journals that can be filled."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.small_disk import small_disk


@pytest.fixture
def disk(tmp_path: Path) -> Iterator[Path]:
    """A disk of half a megabyte; skips where mounting one is not allowed."""
    with small_disk(tmp_path / "disk", kib=512) as folder:
        if not folder:
            pytest.skip("mounting a small disk is not allowed here")
        yield folder
