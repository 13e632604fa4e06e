"""The supply line: what a fuel does between its container and the engine. SI floats inside, absolute pressures."""
