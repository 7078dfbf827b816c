"""Jobs and their revisions, kept so that nothing that was called saved is lost."""
