"""Circuits: elements, exact equations, exact responses, worked solutions."""
