"""The finds, a file for each family; the words of each stand in the `.toml` beside its file."""
