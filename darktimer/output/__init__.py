"""Where a score goes: a file, a speaker, a recording."""
