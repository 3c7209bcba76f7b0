"""The tests are a package of their own, whatever else is installed under that name."""
