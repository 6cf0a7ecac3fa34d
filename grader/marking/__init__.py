"""Marks: comparison, follow-through, credit, reasons.  Pure functions, no files."""
