"""A run over a section: key, uploads, marks, results on disk, resumed where it stopped."""
