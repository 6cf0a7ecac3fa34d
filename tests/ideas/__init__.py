"""Tests of the ideas behind a class's mistakes."""
