"""Tests of the exact solver."""
