"""The command line: thin, and knows no rules."""
