"""What the page draws: parts of a plan, each made from the rooms that it needs and no more."""
