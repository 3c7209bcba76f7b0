"""Results as text, JSON and documents."""
