"""Cue sets read from data, the tones they are made of, and the score that places them."""
