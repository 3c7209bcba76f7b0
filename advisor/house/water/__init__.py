"""The water side: relief, expansion, scalding, hardness, waiting at the tap, and the scope of work."""
