"""An advisor for replacing a failed household water heater."""

__version__ = "0.1.0"
