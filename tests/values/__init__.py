"""Tests of exact numbers and waveforms."""
