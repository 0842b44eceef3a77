"""The pictures in the README show what the program draws today: every bar, where it is drawn."""

import re
from pathlib import Path

import pytest

from .remake_pictures import CHECKOUT, pictures


def bars(svg: bytes) -> list[tuple[str, ...]]:
    """Bars of a picture; words are left out, since their outlines are the drawing library's."""
    return re.findall(r'<g id="([a-z]+[-0-9]*)">\s*<path d="([^"]*)"', svg.decode())


@pytest.mark.parametrize(
    ("target", "made"), list(pictures()), ids=lambda each: getattr(each, "name", "")
)
def test_a_picture_is_fresh_and_the_readme_shows_it(target: Path, made: bytes) -> None:
    assert len(bars(made)) > 30
    assert bars(target.read_bytes()) == bars(made)
    assert f"]({target.relative_to(CHECKOUT).as_posix()})" in (CHECKOUT / "README.md").read_text(
        "utf-8"
    )
