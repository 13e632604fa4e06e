"""Two that come upon the same error at the same time leave one row, and neither loses its answer."""

from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, datetime
from threading import Barrier

import pytest
from django.db import connection, transaction

from catalog.domain.data_errors import DataErrorKind
from catalog.models import DataError
from catalog.usecases.data_errors import FoundError, tell_data_errors

pytestmark = [pytest.mark.db, pytest.mark.django_db(transaction=True)]
NOW = datetime(2026, 3, 9, 9, 15, tzinfo=UTC)
TELLERS = 4


def found(key: str) -> FoundError:
    return FoundError(DataErrorKind.SUPERSESSION, key, f"{key} leads round in a circle.", ())


def test_one_error_told_by_many_at_once_is_one_row() -> None:
    together = Barrier(TELLERS)

    def tell(_teller: int) -> None:
        try:
            together.wait(timeout=60)
            with transaction.atomic():
                tell_data_errors([found("b"), found("a")], NOW)
        finally:
            connection.close()

    with ThreadPoolExecutor(TELLERS) as pool:
        list(pool.map(tell, range(TELLERS)))
    assert sorted(DataError.objects.values_list("key", "times_seen", "state")) == [("a", 1, "open"), ("b", 1, "open")]
