"""What students send: files of every kind, answers as written, the roster."""
