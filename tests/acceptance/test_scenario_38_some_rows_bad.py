"""Scenario 38: a thousand rows of which three are bad, in both modes, and the same file again."""

import pytest

from kits.models import ImportState, StockBatch
from tests.api.world import Desk
from tests.stock.rows import part
from tests.stock.sending import loaded, stock_file

pytestmark = pytest.mark.db
ROWS, BAD = 1_000, 3


@pytest.fixture
def thousand() -> str:
    for n in range(ROWS - BAD):
        part("VRD", f"88-{n:04d}")
    rows = stock_file({f"88-{n:04d}": n % 9 for n in range(ROWS - BAD)}).splitlines()
    rows[10:10] = ["main,VRD,9.52E+12,4", "main,VRD,88-9999,4", "main,VRD,88-0002x,four"]
    return "\n".join(rows)


def test_good_rows_are_in_bad_ones_listed_and_again_nothing_changes(desk: Desk, thousand: str) -> None:
    done = loaded(desk, thousand, table="stock")
    assert done.row.state == ImportState.APPLIED
    assert done.counts == (ROWS - BAD, 0, 0)
    assert done.problems == (
        (11, "number", "e_notation"), (12, "number", "unknown_part"), (13, "number", "unknown_part"),
        (13, "on_hand", "not_a_whole_number"),
    )  # fmt: skip
    listed = desk.get(f"/jobs/{done.job.pk}/problems/").json()["results"]
    assert listed[0]["value"] == "9.52E+12"
    assert "power of ten" in listed[0]["detail"]
    assert len({problem["line"] for problem in listed}) == BAD
    again = loaded(desk, thousand, table="stock")
    assert again.counts == (0, 0, ROWS - BAD)


def test_all_or_nothing_applies_nothing(desk: Desk, thousand: str) -> None:
    done = loaded(desk, thousand, table="stock", mode="all_or_nothing")
    assert done.row.state == ImportState.FAILED
    assert done.job.result is not None
    assert done.job.result["applied"] is False
    assert done.job.result["refused"]["detail"].startswith("3 of 1000 rows cannot be applied, and all or nothing")
    assert len({line for line, _, _ in done.problems}) == BAD
    assert not StockBatch.objects.exists()
