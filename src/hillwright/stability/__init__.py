"""Will it stay there: the hill itself, what slides on it, and what holds that."""
