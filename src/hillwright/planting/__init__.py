"""Planting: sun, palette, paths, and what goes in which cell."""
