"""What a run writes: sheets, gradebook, feedback, audit."""
