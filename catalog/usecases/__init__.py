"""What can be done with the catalogue: load, decide, save."""
