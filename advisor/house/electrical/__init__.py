"""Circuits, service load and power cuts: checks, and the scope of work."""
