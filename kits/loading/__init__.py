"""Rows to the frozen values of `kits.domain`, in a fixed number of statements."""
