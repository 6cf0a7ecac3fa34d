"""Tests of the mistake catalogue and its diagnoser."""
