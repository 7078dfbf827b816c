"""Checking: published cases read from files, run against the methods, and told."""
