"""After the building: what was really built, and what is done each month of the years after."""
