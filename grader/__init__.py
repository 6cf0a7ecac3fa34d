"""Grades answers to transient-circuit problems; see README.md for use and DEVELOPERS.md for structure."""

__version__ = "0.1.0"
