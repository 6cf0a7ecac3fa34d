"""The pages: plain functions from a visit to a response, and what they have in common."""
