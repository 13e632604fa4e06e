"""The statements that a request itself asks of the database."""

from __future__ import annotations

from django.test.utils import CaptureQueriesContext

_TRANSACTION_CONTROL = ("BEGIN", "COMMIT", "SAVEPOINT", "RELEASE", "ROLLBACK")
_CALL_COUNTS = "operations_callcount"


def own_statements(captured: CaptureQueriesContext) -> list[str]:
    """Without transaction control, and without the key's limit, which only PostgreSQL counts in the main database."""
    found = [query["sql"].strip() for query in captured.captured_queries]
    return [sql for sql in found if not sql.startswith(_TRANSACTION_CONTROL) and _CALL_COUNTS not in sql]
