"""The estimate room: what to order, and later what it costs."""
