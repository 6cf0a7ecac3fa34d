"""Trees as people write them: one line of plain text, or MathML; and what we computed as trees (`waveform_tree`)."""
