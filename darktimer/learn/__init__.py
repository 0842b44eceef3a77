"""Learning the cues by ear: what is asked next, tap noise to ask it over, and the scores kept."""
