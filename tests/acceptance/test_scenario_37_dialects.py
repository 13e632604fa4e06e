"""Scenario 37: a semicolon file with a decimal comma, in windows-1252 or with a byte-order mark; and no guessing."""

import pytest

from kits.models import ImportState, SupplierPrice
from service.operations.models import Dealer
from tests.api.world import Desk
from tests.stock.rows import fenmoor, part
from tests.stock.sending import loaded

pytestmark = pytest.mark.db
HEADER = "supplier;maker;number;price;pack;minimum;supplier_number"
TEXT = f"{HEADER}\nfenmoor;VRD;7100-R;1.234,50;1;1;détendeur 7100\n"


@pytest.fixture(autouse=True)
def supplier(tallis_bridge: Dealer) -> None:
    fenmoor(tallis_bridge)
    part("VRD", "7100-R", "regulator")


@pytest.mark.parametrize(
    ("content", "dialect"),
    [
        (TEXT.encode("cp1252"), {"encoding": "windows-1252"}),
        (b"\xef\xbb\xbf" + TEXT.encode(), {}),
        (TEXT.encode("utf-8"), {"encoding": "utf-8"}),
    ],
    ids=["windows-1252", "byte-order mark", "utf-8"],
)
def test_the_amount_and_the_text_come_through_whole(desk: Desk, content: bytes, dialect: dict[str, str]) -> None:
    done = loaded(desk, content, table="prices", separator="semicolon", decimal="comma", **dialect)
    assert done.row.state == ImportState.APPLIED, done.job.problem
    kept = SupplierPrice.objects.get()
    assert (kept.price, kept.currency, kept.number_text) == (12_345_000, "USD", "détendeur 7100")


UNDECIDABLE: dict[str, tuple[str | bytes, str]] = {
    "decimal mark": (f"{HEADER}\nfenmoor;VRD;7100-R;1,234;1;1;x\n", "undecidable_decimal"),
    "separator": ("supplier,maker;number,price\nfenmoor;VRD\n", "undecidable_separator"),
    "encoding": (TEXT.encode("cp1252"), "undecidable_encoding"),
}


@pytest.mark.parametrize("what", UNDECIDABLE)
def test_what_can_be_read_two_ways_is_refused_and_not_guessed(desk: Desk, what: str) -> None:
    content, code = UNDECIDABLE[what]
    done = loaded(desk, content, table="prices")
    assert done.row.state == ImportState.FAILED
    assert done.job.problem is not None
    assert done.job.problem["code"] == code
    assert not SupplierPrice.objects.exists()


def test_an_amount_in_the_other_notation_is_told_and_not_turned(desk: Desk) -> None:
    done = loaded(desk, TEXT, table="prices", decimal="point")
    assert done.problems == ((2, "price", "wrong_decimal_mark"),)
    assert not SupplierPrice.objects.exists()
