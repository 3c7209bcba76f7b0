"""Frost, the rules of the place, and houses that need care of their own."""
