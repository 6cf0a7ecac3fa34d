"""Work that may hang, grow or die: processes of our own, bounded from outside, in which nothing of a user's is ever run."""
