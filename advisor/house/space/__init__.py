"""The room that the heater stands in: the check, and the scope of work."""
