"""Nightly files of stock and prices: their tables, how a row is read, and when a file looks damaged."""
