"""The decision in plain typed Python: no Django, no clock, no files, no randomness."""
