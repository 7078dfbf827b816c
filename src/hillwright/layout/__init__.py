"""The layout room: how the cells lie on the ground, and how to set them out."""
