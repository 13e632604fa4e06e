"""Load, decide, save: one function for each thing a dealer asks of kits."""
