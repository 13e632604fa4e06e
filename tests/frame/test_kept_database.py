"""A test that commits finds the database as it may count on it, whatever another left behind."""

import pytest

from catalog.models import Statement
from service.operations.models import Dealer

pytestmark = [pytest.mark.db, pytest.mark.django_db(transaction=True)]
TWICE = pytest.mark.parametrize("turn", [1, 2])


@TWICE
def test_without_the_world_it_begins_with_empty_tables(turn: int) -> None:
    assert not Dealer.objects.exists()
    Dealer.objects.create(code="weir-lane", name="Weir Lane")


@TWICE
def test_with_the_world_it_begins_with_all_of_it(tallis_bridge: Dealer, turn: int) -> None:
    assert list(Dealer.objects.all()) == [tallis_bridge]
    assert Statement.objects.exists()
    Statement.objects.all().delete()


@pytest.mark.django_db(transaction=False)
def test_one_that_does_not_commit_finds_the_world_as_well(tallis_bridge: Dealer) -> None:
    assert Statement.objects.exists()
