"""Where the heater goes: gas, vent, air, drain, circuit, water and the work they add up to."""
