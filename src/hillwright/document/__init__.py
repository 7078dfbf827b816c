"""The whole plan as one document in plain SI numbers: what other programs and the page read."""
