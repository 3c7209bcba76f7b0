"""The one record of input: the house, its money, and the file it travels in."""
