"""Hillwright: from a survey of a bare hillside to a terrace garden that can be built.

Importing this package is cheap: each room is imported where it is used.
"""

__version__ = "0.1.0"
