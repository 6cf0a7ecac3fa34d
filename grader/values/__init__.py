"""The mathematics both sides share: exact numbers, waveforms, dimensions and how values are written."""
