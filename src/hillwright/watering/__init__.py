"""How much water each plant wants in each month, and when each valve opens."""
