"""The fill room: how much soil of which mix each cell takes, and what it weighs."""
