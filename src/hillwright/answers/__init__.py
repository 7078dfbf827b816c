"""The ten questions and what the plan can answer so far, in words for people."""
