"""Rubric files: records, reading with all faults at once, reference answers."""
