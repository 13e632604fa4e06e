"""The catalogue over HTTP."""
