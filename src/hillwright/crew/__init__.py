"""The crew room: lifts, haul, hours and days, in what order, and who does what."""
