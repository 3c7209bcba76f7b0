"""Condensate: where it can go, and the scope of work."""
