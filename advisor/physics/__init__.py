"""Physics that knows nothing of houses: water, combustion, moist air, present value."""
