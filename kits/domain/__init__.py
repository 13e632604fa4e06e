"""Service plans, meters, what is due, kits, stock and orders: no Django, no clock, no files, no randomness."""
