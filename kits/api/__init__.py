"""The HTTP edge of kits: intervals, stock, kits and orders."""
