"""Answers as people type them, marked by hand beforehand, and the measure of how near the program comes."""
