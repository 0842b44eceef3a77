"""The live run: a conductor of keys and clock, and all that keeps it going in the dark."""
