"""A kit and its checks are decided and recorded at one version of the catalogue, or none of them is."""

import pytest

from catalog.models import CatalogueState, Check
from catalog.usecases.one_version import FREE_TRIES
from kits.models import Kit
from tests.api.kit_cast import built
from tests.api.world import Desk
from tests.usecases.test_check_at_one_version import moving

pytestmark = pytest.mark.db


def reads_prices(sql: str) -> bool:
    """Which is done once the lines are decided."""
    return sql.startswith("SELECT") and 'FROM "kits_supplierprice"' in sql


@pytest.mark.parametrize("times", [1, FREE_TRIES])
def test_a_catalogue_that_moves_after_the_lines_are_decided_leaves_no_check_of_the_old_one(
    desk: Desk, times: int
) -> None:
    before = CatalogueState.objects.get().version
    moves = iter([True] * times)
    with moving(lambda sql: reads_prices(sql) and next(moves, False)):
        kit = built(desk)
    assert kit["catalogue_version"] == before + times
    assert Kit.objects.count() == 1
    assert set(Check.objects.values_list("catalogue_version", flat=True)) == {before + times}
    assert Check.objects.count() == len(kit["lines"])
