"""Which candidate to put in, decided once."""
