"""The page and its service: jobs, edits, plans and papers over HTTP."""
