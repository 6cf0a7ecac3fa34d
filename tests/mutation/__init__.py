"""Whether the tests notice a change: code is altered in one place at a time, and some test must fail."""
