"""fieldlog: a logbook for chain hoists."""

__version__ = "0.1.0"
