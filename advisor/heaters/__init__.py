"""What could replace the heater: labels, federal ratings and models."""
