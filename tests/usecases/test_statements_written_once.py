"""A statement that Django writes once gives what the list it was written for gives, whatever it is asked with."""

from uuid import UUID

import pytest

from catalog.loading.written import written, written_rows
from kits.models import PartHandling, ServicePlan, StockBatch
from service.operations.models import Branch, Dealer
from tests.api.kit_cast import handle, shelve

pytestmark = pytest.mark.db
COLUMNS = ("item__dealer", "item__ages", "item__part__number", "bin", "date_code", "expires", "on_hand")


def test_values_come_as_python_has_them(tallis_bridge: Dealer) -> None:
    """Ids, days, truths and nulls, which a database keeps in its own way."""
    shelve(tallis_bridge, "2051", 4, bin_="A-1", date_code="2025-06-01", expires="2027-06-01")
    shelve(tallis_bridge, "4410-12", 3)
    rows = StockBatch.objects.order_by("pk").values_list(*COLUMNS)
    nobody = UUID(int=0)
    once = written(rows.filter(item__dealer=nobody, item__ages=False), 1)
    found = [tuple(row) for row in once.rows(tallis_bridge.pk)]
    assert found == list(rows)
    assert len(found) == 2
    assert once.rows(nobody) == []


def test_whole_rows_are_those_of_the_table(tallis_bridge: Dealer) -> None:
    handle(tallis_bridge, "6611", fitted_by_licence=True)
    once = written_rows(PartHandling.objects.filter(dealer=UUID(int=0)), 1)
    (found,) = once.rows(tallis_bridge.pk)
    assert found == PartHandling.objects.get()
    assert (found.fitted_by_licence, found.dealer_id) == (True, tallis_bridge.pk)
    found.un_number = "UN1950"
    found.save()
    assert PartHandling.objects.get().un_number == "UN1950"


def test_the_same_statement_serves_another_dealer(tallis_bridge: Dealer) -> None:
    other = Dealer.objects.create(code="other-side", name="Other Side")
    Branch.objects.create(dealer=other, code="yard", name="Yard", zone="Europe/Paris", currency="USD")
    once = written_rows(Branch.objects.filter(dealer=UUID(int=0)), 1)
    assert [row.code for row in once.rows(other.pk)] == ["yard"]
    assert [row.code for row in once.rows(tallis_bridge.pk)] == ["main"]


def test_instants_come_with_their_offset(tallis_bridge: Dealer) -> None:
    plan = ServicePlan.objects.order_by("code")[0]
    (found,) = written_rows(ServicePlan.objects.filter(pk=UUID(int=0)), 1).rows(plan.pk)
    assert found.changed_at == plan.changed_at
    assert found.changed_at.tzinfo is not None
