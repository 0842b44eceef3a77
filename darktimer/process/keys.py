"""What the keys do in a live run, in words: for the page before the dark and for the card."""

from typing import Final

KEYS: Final = (
    "Space (or Enter, Page Down, Right): go on, where the plan waits; elsewhere it marks the "
    "moment. Once the film is loaded: press it, wait for the question, press it again.",
    "Any other key: where am I? The bath's place from the left, then time left.",
    "Any other key twice within 0.7 s: hold, in water, in an exposure or until the film is loaded.",
    "One key held, or five times within 2 s: abort. After the question do it again; where light "
    "is not safe, a third time for the screen.",
)
#: For a card, on one line.
KEYS_IN_BRIEF: Final = (
    "Keys: space, go on · any other, where am I · twice, hold (in water, exposure or loading) "
    "· one held, or five times, abort: again to confirm, once more for light"
)
