"""Flue and vent: checks, and the scope of work."""
