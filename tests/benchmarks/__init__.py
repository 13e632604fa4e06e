"""Measured aims: `python -m tests.benchmarks [NAME ...] [--json]` prints each with both sides of its ratio."""
