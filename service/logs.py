"""What is kept out of the log. Imported while Django is still starting, so it imports nothing of it."""

import logging

PROBES = frozenset({"/livez", "/readyz"})


def is_no_probe(record: logging.LogRecord) -> bool:
    """Drop the line a probe's 503 would leave: probes come every few seconds, and their answer says it all."""
    return getattr(getattr(record, "request", None), "path", None) not in PROBES
