"""The catalogue of mistakes, one file per mistake."""
