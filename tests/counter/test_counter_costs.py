"""A counter answer takes a fixed number of statements, however many parts it weighs and shows."""

from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from service.operations.models import Dealer
from tests.api.world import Desk
from tests.counter.counter_cast import asked, filter_named, numbers
from tests.counter.counter_cast import on_shelf as lay
from tests.stock.rows import calendar, fenmoor, main_branch, priced

pytestmark = [pytest.mark.db, pytest.mark.usefixtures("clock")]
ALIKE = 12
STATEMENTS = 28  # with those of the key, the check and its record


def made_alike(desk: Desk, number: str) -> Any:
    """A filter on record with all that is recorded of Olmsey's, which its own maker lists for the engine."""
    model = desk.get(f"/parts/{filter_named('0021-460').pk}/").json()
    attributes = [{name: row[name] for name in ("attribute", "slot", "value", "source")} for row in model["attributes"]]
    body = {"maker": "OLM", "number": number, "name": "oil filter", "category": "oil_filter", "supplied_as": "piece",
            "attributes": attributes}  # fmt: skip
    desk.made("/parts/", body)
    return filter_named(number, "OLM")


def statements(desk: Desk) -> tuple[int, dict[str, Any]]:
    asked(desk)  # what the process keeps of one version of the catalogue is kept now
    with CaptureQueriesContext(connection) as made:
        answer = asked(desk)
    return len(made), answer


def test_twelve_alternatives_cost_no_more_statements_than_one(desk: Desk, tallis_bridge: Dealer) -> None:
    branch = main_branch(tallis_bridge)
    supplier = fenmoor(tallis_bridge, calendar=calendar(tallis_bridge, "fenmoor"))
    found = [made_alike(desk, f"ALIKE-{count}") for count in range(ALIKE)]
    for place, one in enumerate(found):
        priced(supplier, one, 100_000, lead_days=4)
        if not place:
            lay(branch, one, 3, counter_price=120_000, counter_currency="USD")
    few, answer = statements(desk)
    assert numbers(answer["alternatives"]) == ["ALIKE-0"]
    for one in found[1:]:
        lay(branch, one, 3, counter_price=120_000, counter_currency="USD")
    many, answer = statements(desk)
    assert len(answer["alternatives"]) == ALIKE
    assert all(one["free_here"] for one in answer["alternatives"])
    assert many == few == STATEMENTS


def test_what_was_not_looked_at_is_counted(desk: Desk, tallis_bridge: Dealer) -> None:
    lay(main_branch(tallis_bridge), made_alike(desk, "ALIKE-1"), 3)
    assert asked(desk)["not_looked_at"] == 0
