"""Lookup tables and published checks that ship with the package."""
