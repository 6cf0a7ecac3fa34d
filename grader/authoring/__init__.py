"""What helps to write a rubric: its reference, other values for a problem, the wrong answers to expect."""
