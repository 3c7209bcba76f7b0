"""Combustion air: the check, and the scope of work."""
