"""What a sound file says of itself."""

from typing import NamedTuple


class Tags(NamedTuple):
    """Texts for whoever looks at a file in a player; empty ones, and number 0, are left out."""

    title: str = ""
    comment: str = ""
    album: str = ""
    number: int = 0

    def texts(self) -> dict[str, str]:
        """Those that are not empty, by the sound library's names."""
        named = {"title": self.title, "comment": self.comment, "album": self.album}
        named["tracknumber"] = str(self.number or "")
        return {name: text for name, text in named.items() if text}
