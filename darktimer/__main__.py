"""Lets ``python -m darktimer`` do what the ``darktimer`` command does."""

from darktimer.cli import main

if __name__ == "__main__":
    main()
