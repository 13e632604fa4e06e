"""What parts are, what engines ask for, and whether one fits the other."""
