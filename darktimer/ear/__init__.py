"""Hears a recording: which cues are in it, when, and how far above the noise.

It knows what cues sound like and nothing of when they should come; only the comparison at the end
looks at a timeline.
"""
