"""From what a student typed to what it says: notation to readings."""
