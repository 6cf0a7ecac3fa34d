"""Instant feedback in a browser."""
