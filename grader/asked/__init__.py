"""The catalogue of what can be asked, one file per quantity."""
