"""Who gets which papers: one file for each reader, each a short list of named papers."""
