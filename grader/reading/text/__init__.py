"""The answer as text: one alphabet (`glyphs`), blank cells and damage (`cell`), phrases in place of signs, remarks."""
