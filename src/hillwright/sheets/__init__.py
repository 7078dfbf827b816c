"""Drawings, tables and files made from a plan."""
