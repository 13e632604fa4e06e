"""Rows of kits: service records, stock and prices, kits and orders."""
