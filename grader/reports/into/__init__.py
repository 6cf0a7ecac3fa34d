"""Marks filled into an instructor's own table: a copy in which nothing else has changed."""
