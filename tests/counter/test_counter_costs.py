"""A counter answer takes a fixed number of statements, however many parts it weighs and shows."""

from collections.abc import Callable
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from catalog.models import Part
from kits.usecases.counter_others import MOST_LOOKED_AT
from service.operations.models import Dealer
from tests.acceptance.chains import RESURFACER_1
from tests.api.world import Desk
from tests.counter.counter_cast import NEW, asked, filter_named, numbers
from tests.counter.counter_cast import on_shelf as lay
from tests.stock.rows import calendar, fenmoor, main_branch, priced

pytestmark = [pytest.mark.db, pytest.mark.usefixtures("clock")]
ALIKE = 12
BODY = {"candidate": {"maker": "VRD", "number": NEW}, "application": RESURFACER_1}
BESIDE = 20  # statements beside those of the check


def made_alike(desk: Desk, number: str) -> Any:
    """A filter on record with all that is recorded of Olmsey's, which its own maker lists for the engine."""
    model = desk.get(f"/parts/{filter_named('0021-460').pk}/").json()
    attributes = [{name: row[name] for name in ("attribute", "slot", "value", "source")} for row in model["attributes"]]
    body = {"maker": "OLM", "number": number, "name": "oil filter", "category": "oil_filter", "supplied_as": "piece",
            "attributes": attributes}  # fmt: skip
    desk.made("/parts/", body)
    return filter_named(number, "OLM")


def statements(ask: Callable[[], Any]) -> tuple[int, Any]:
    ask()  # what the process keeps of one version of the catalogue is kept now
    with CaptureQueriesContext(connection) as made:
        answer = ask()
    return len(made), answer


def test_twelve_alternatives_cost_no_more_statements_than_one(desk: Desk, tallis_bridge: Dealer) -> None:
    branch = main_branch(tallis_bridge)
    supplier = fenmoor(tallis_bridge, calendar=calendar(tallis_bridge, "fenmoor"))
    found = [made_alike(desk, f"ALIKE-{count}") for count in range(ALIKE)]
    for place, one in enumerate(found):
        priced(supplier, one, 100_000, lead_days=4)
        if not place:
            lay(branch, one, 3, counter_price=120_000, counter_currency="USD")
    few, answer = statements(lambda: asked(desk))
    assert numbers(answer["alternatives"]) == ["ALIKE-0"]
    for one in found[1:]:
        lay(branch, one, 3, counter_price=120_000, counter_currency="USD")
    many, answer = statements(lambda: asked(desk))
    assert len(answer["alternatives"]) == ALIKE
    assert all(one["free_here"] for one in answer["alternatives"])
    plain, _ = statements(lambda: desk.answer(BODY))
    assert many == few == plain + BESIDE


def test_what_was_not_looked_at_is_counted(desk: Desk, tallis_bridge: Dealer) -> None:
    branch, model = main_branch(tallis_bridge), filter_named(NEW)
    for count in range(MOST_LOOKED_AT + 2):
        number = f"MANY-{count}"
        facts = model.facts.replace(NEW, number)
        lay(branch, Part.objects.create(maker=model.maker, number=number, category="oil_filter", facts=facts), 1)
    answer = asked(desk)
    assert answer["not_looked_at"] == 2
    assert len(answer["alternatives"]) + len(answer["not_offered"]) + answer["more_not_offered"] == MOST_LOOKED_AT
