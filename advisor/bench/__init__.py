"""The test bench: heaters simulated second by second, on the federal tests and in this household."""
