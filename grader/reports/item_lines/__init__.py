"""The lines of the worked solution that belong to single items: law in letters, the same with figures, the value.

`times` and `extremes` read them off the expression, `energies` integrates, `ratios` divides, `combined` adds storage elements up, `equations` writes them down, `designs` solves a condition
for an element.  A formula stands there only where it gives the reference answer (`step`).
"""

from grader.reports.item_lines.step import values_step

__all__ = ["values_step"]
