"""The routes: each parses, calls one thing, and shows the answer."""
