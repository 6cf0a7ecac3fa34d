"""What a mistake works on: one item and its circuit, with what a solver finds for the whole problem."""

from __future__ import annotations

from dataclasses import dataclass

from grader.problem import Item, Problem


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """One item of a problem."""

    problem: Problem
    item: Item
