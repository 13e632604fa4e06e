"""Kits, stock, prices and orders in plain typed Python: no Django, no clock, no files, no randomness."""
