"""Evaluates a tree: exact waveforms with their dimension (`evaluate`), pairs of numbers for roots (`roots`)."""
