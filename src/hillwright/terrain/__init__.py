"""The terrain room: from what was measured to ground, and what to smooth first."""
