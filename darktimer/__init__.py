"""An audio step-timer for processing film by hand in total darkness."""

__version__ = "0.1.0"
