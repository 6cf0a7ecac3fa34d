"""What a tree is worth: exact waveforms with their dimension (`evaluate`), pairs of numbers for roots (`roots`)."""
