"""Files of stock and prices: what is held and why, what is rejected row by row, what a file does not mention.

Limits of a tenth fewer rows and of five per cent of prices by over twenty: trade.md section 6 (common practice).
"""

import io
from typing import Any

import pytest
import xlsxwriter
from django.utils import timezone

from kits.domain.stock_files.tables import TABLES
from kits.models import ImportState, StockBatch, StockItem, SupplierPrice
from service.operations import jobs
from service.operations.models import Change, Dealer, Person
from tests.api.world import Desk
from tests.desks import Clock
from tests.stock.rows import fenmoor, item, main_branch, other_branch, part, priced
from tests.stock.sending import loaded, on_hand, outcome, price, send, stock_file

pytestmark = pytest.mark.db
MANY = 40
NUMBERS = [f"77-{n:03d}" for n in range(MANY)]
PRICES = "supplier,maker,number,price,price_for,pack,minimum"


def price_file(prices: dict[str, str], *, price_for: int = 1, pack: int = 1) -> str:
    rows = [f"fenmoor,VRD,{number},{amount},{price_for},{pack},0" for number, amount in prices.items()]
    return "\n".join([PRICES, *rows])


@pytest.fixture
def shop(tallis_bridge: Dealer) -> Dealer:
    fenmoor(tallis_bridge)
    for number in NUMBERS:
        part("VRD", number)
    return tallis_bridge


def manager(dealer: Dealer) -> Desk:
    return Desk.of(dealer, person=Person.objects.get(username="r.tarnick"))


def test_the_columns_are_documented_from_the_registry(desk: Desk) -> None:
    told = {table["table"]: table for table in desk.get("/stock-imports/tables/").json()["tables"]}
    assert set(told) == {"stock", "prices"}
    for name, table in TABLES.items():
        assert [column["name"] for column in told[name]["columns"]] == [column.name for column in table.columns]
        assert all(column["says"] and column["example"] for column in told[name]["columns"])


def test_a_file_needs_a_key_and_known_words(desk: Desk) -> None:
    sent = desk.client.post("/api/v1/stock-imports/", {}, headers={"Authorization": f"Bearer {desk.key}"})
    assert sent.json()["code"] == "idempotency_key_missing"
    wrong = send(desk, "x", table="stocks", mode="some", feeed="x")
    assert {entry["pointer"] for entry in wrong.json()["errors"]} == {"#/table", "#/mode", "#/feeed"}


@pytest.mark.parametrize("rows", [36, 37])
def test_a_tenth_fewer_rows_are_held_and_released_by_a_person(desk: Desk, shop: Dealer, rows: int) -> None:
    loaded(desk, stock_file(dict.fromkeys(NUMBERS, 5)), table="stock", supplied_on="2026-03-08")
    done = loaded(desk, stock_file(dict.fromkeys(NUMBERS[:rows], 9)), table="stock", supplied_on="2026-03-09")
    if rows == 37:
        assert done.row.state == ImportState.APPLIED
        assert (on_hand("77-000"), on_hand("77-039")) == (9, 5)
        return
    assert (done.row.state, done.reasons, on_hand("77-000")) == (ImportState.HELD, ["rows_lost"], 5)
    answer = manager(shop).post(f"/imports/{done.row.pk}/release/", {"reason": "the shop sold those lines"})
    assert answer.status_code == 202, answer.content
    jobs.run_due(timezone.now)
    after = outcome(str(done.row.pk))
    assert (after.row.state, after.row.decided_by, on_hand("77-000")) == (ImportState.APPLIED, "R. Tarnick", 9)
    assert on_hand("77-039") == 5


def test_more_than_five_per_cent_of_prices_moved_over_twenty_are_held(desk: Desk, shop: Dealer) -> None:
    base = dict.fromkeys(NUMBERS, "10.00")
    loaded(desk, price_file(base), table="prices")
    two = {**base, "77-000": "12.01", "77-001": "7.99", "77-002": "12.00", "77-003": "8.00"}
    assert loaded(desk, price_file(two), table="prices").row.state == ImportState.APPLIED
    three = {**two, "77-004": "12.01", "77-005": "12.01", "77-006": "12.01"}
    held = loaded(desk, price_file(three), table="prices")
    assert held.reasons == ["prices_moved"]
    assert "3 of 40 prices" in held.row.held_for[0]["detail"]
    assert price("77-004") == 100_000


def test_each_to_pack_is_held_though_the_price_of_a_piece_is_the_same(desk: Desk, shop: Dealer) -> None:
    loaded(desk, price_file(dict.fromkeys(NUMBERS, "1.00")), table="prices")
    held = loaded(desk, price_file(dict.fromkeys(NUMBERS, "10.00"), price_for=10), table="prices")
    assert held.reasons == ["units_changed"]
    held = loaded(desk, price_file(dict.fromkeys(NUMBERS, "1.00"), pack=10), table="prices")
    assert held.reasons == ["units_changed"]


def test_a_renamed_column_is_held_where_a_file_came_before_and_refused_where_none_did(desk: Desk, shop: Dealer) -> None:
    renamed = stock_file({"77-000": 1}, header="branch,maker,number,quantity")
    first = loaded(desk, renamed, table="stock")
    assert first.row.state == ImportState.FAILED
    assert first.job.problem is not None
    assert first.job.problem["code"] == "unknown_columns"
    loaded(desk, stock_file({"77-000": 1}), table="stock")
    held = loaded(desk, renamed, table="stock")
    assert (held.row.state, held.reasons) == (ImportState.HELD, ["columns_renamed"])
    assert "on_hand are gone and quantity are new" in held.row.held_for[0]["detail"]


def test_numbers_a_spreadsheet_has_damaged_are_rejected_with_the_cause(desk: Desk, shop: Dealer) -> None:
    part("VRD", "0021-460")
    rows = ["9.52E+12", "3-Dec", "1234567890123450000", "21-460", "021-460", "77-000"]
    done = loaded(desk, stock_file(dict.fromkeys(rows, 3)), table="stock")
    assert done.problems == (
        (2, "number", "e_notation"), (3, "number", "turned_into_a_date"), (4, "number", "digits_rounded"),
        (5, "number", "possible_lost_zero"), (6, "number", "possible_lost_zero"),
    )  # fmt: skip
    assert (on_hand("77-000"), on_hand("0021-460")) == (3, 0)


def test_a_workbook_whose_numbers_are_numbers_is_rejected_row_by_row(desk: Desk, shop: Dealer) -> None:
    part("VRD", "4471")
    kept = io.BytesIO()
    with xlsxwriter.Workbook(kept) as book:
        sheet = book.add_worksheet("stock")
        for place, cells in enumerate([["branch", "maker", "number", "on_hand"], ["main", "VRD", 4471, 2],
                                       ["main", "VRD", "77-000", 4]]):  # fmt: skip
            sheet.write_row(place, 0, cells)
    done = loaded(desk, kept.getvalue(), table="stock", name="night.xlsx")
    assert done.problems == ((2, "number", "number_not_text"),)
    assert on_hand("77-000") == 4


def test_a_file_of_which_no_row_can_be_read_ends_with_each_named_and_the_next_one_is_loaded(
    desk: Desk, shop: Dealer
) -> None:
    """A column too many or too few in every row: what is in force stays (common practice, no source)."""
    loaded(desk, stock_file({"77-000": 5, "77-001": 5}), table="stock")
    done = loaded(desk, "branch,maker,number,on_hand\nmain,VRD,77-000,7,A\nmain,VRD,77-001\n", table="stock")
    assert (done.problems, done.counts) == (((2, "", "too_many_cells"), (3, "", "too_few_cells")), (0, 0, 0))
    assert (done.row.state, on_hand("77-000")) == (ImportState.FAILED, 5)
    refused = desk.get(f"/stock-imports/{done.row.pk}/").json()["counts"]["refused"]
    assert done.job.result is not None
    assert (done.job.result["applied"], done.job.result["refused"]) == (False, refused)
    assert (refused["code"], refused["detail"][:45]) == (
        "no_good_row", "Not one of its 2 rows could be applied, so no",
    )  # fmt: skip
    assert loaded(desk, stock_file({"77-000": 7, "77-001": 5}), table="stock").counts == (0, 1, 1)


@pytest.mark.parametrize("feed", ["stock", "first of its feed"])
def test_a_whole_file_without_one_part_that_is_known_empties_nothing(desk: Desk, shop: Dealer, feed: str) -> None:
    """Names in the number's column, say: nobody has looked at the shelf by it (common practice, no source)."""
    loaded(desk, stock_file({"77-000": 5}), table="stock")
    done = loaded(desk, stock_file({"PLUG": 4}), table="stock", whole="true", feed=feed)
    assert (done.problems, on_hand("77-000")) == (((2, "number", "unknown_part"),), 5)
    assert done.row.state == ImportState.FAILED
    assert done.row.counts["refused"]["detail"].startswith("Its only row could not be applied, so nothing was changed")
    assert not Change.objects.filter(kind="stock_import.applied", object_id=str(done.row.pk)).exists()


def test_a_whole_file_empties_no_part_that_one_of_its_rows_may_be_about(desk: Desk, shop: Dealer) -> None:
    """A number that lost its zeros is still listed: its row may well be that part's (trade notes, section 6: leading
    zeros cut by a spreadsheet cannot be undone, so the row is rejected)."""
    part("VRD", "0077-9")
    loaded(desk, stock_file({"0077-9": 5, "77-000": 5}), table="stock")
    cut = loaded(desk, stock_file({"77-9": 4, "77-000": 3}), table="stock", whole="true", feed="till")
    assert cut.job.result is not None
    assert (cut.problems, cut.job.result["rest_kept"]) == (((2, "number", "possible_lost_zero"),), True)
    assert (on_hand("0077-9"), on_hand("77-000")) == (5, 3)


def test_an_older_file_is_refused_and_one_of_the_same_day_is_not(desk: Desk, shop: Dealer) -> None:
    loaded(desk, stock_file({"77-000": 5}), table="stock", supplied_on="2026-03-09")
    older = loaded(desk, stock_file({"77-000": 7}), table="stock", supplied_on="2026-03-08")
    assert older.job.problem is not None
    assert (older.row.state, older.job.problem["code"]) == (ImportState.FAILED, "older_than_last")
    assert on_hand("77-000") == 5
    assert loaded(desk, stock_file({"77-000": 7}), table="stock", supplied_on="2026-03-09").counts == (0, 1, 0)
    other = loaded(desk, stock_file({"77-001": 7}), table="stock", supplied_on="2026-03-08", feed="corrections")
    assert other.row.state == ImportState.APPLIED


def test_a_file_of_a_day_to_come_is_refused_before_it_shuts_out_those_until_then(
    desk: Desk, shop: Dealer, clock: Clock
) -> None:
    """A year mistyped would have each nightly file refused as older; tomorrow begins elsewhere already."""
    clock.at("2026-03-09T22:00:00+01:00")
    answer = send(desk, stock_file({"77-000": 5}), table="stock", supplied_on="2027-03-09")
    told = answer.json()
    assert (answer.status_code, told["errors"][0]["pointer"], told["errors"][0]["code"]) == (
        400, "#/supplied_on", "in_the_future",
    )  # fmt: skip
    assert loaded(desk, stock_file({"77-000": 5}), table="stock", supplied_on="2026-03-10").counts == (1, 0, 0)


def test_other_rows_than_declared_are_refused(desk: Desk, shop: Dealer) -> None:
    cut = loaded(desk, stock_file({"77-000": 5}), table="stock", rows="2")
    assert cut.job.problem is not None
    assert cut.job.problem["code"] == "row_count_differs"
    assert not StockItem.objects.exists()


def test_what_a_file_does_not_list_stays_unless_it_is_declared_whole(desk: Desk, shop: Dealer) -> None:
    quay = other_branch(shop)
    item(quay, part("VRD", "77-001"), (6, 0))
    both = dict.fromkeys(NUMBERS, 5)
    loaded(desk, stock_file(both), table="stock")
    most = dict.fromkeys(NUMBERS[1:], 5)
    loaded(desk, stock_file(most), table="stock")
    assert on_hand("77-000") == 5
    whole = loaded(desk, stock_file(most), table="stock", whole="true")
    assert whole.job.result is not None
    assert (whole.job.result["emptied"], on_hand("77-000"), on_hand("77-001")) == (1, 0, 11)
    StockBatch.objects.update(on_hand=3)
    damaged = loaded(desk, stock_file({**most, "9.5E+9": 1}), table="stock", whole="true")
    assert damaged.job.result is not None
    assert (damaged.job.result["rest_kept"], on_hand("77-000")) == (True, 3)


def test_a_part_says_all_that_lies_there_and_promises_are_not_lost(desk: Desk, shop: Dealer) -> None:
    held = item(main_branch(shop), part("VRD", "77-000"), (9, 4), (2, 0))
    rows = "branch,maker,number,on_hand,bin\nmain,VRD,77-000,1,A1\nmain,VRD,77-000,7,C3\n"
    done = loaded(desk, rows, table="stock")
    kept = StockBatch.objects.filter(item=held).order_by("bin").values_list("bin", "on_hand", "reserved")
    assert list(kept) == [("A1", 1, 4), ("A2", 0, 0), ("C3", 7, 0)]
    assert done.job.result is not None
    assert done.job.result["overpromised"] == 1
    assert Change.objects.filter(kind="stock_item.overpromised", object_id=str(held.pk)).exists()
    assert desk.get(f"/stock-items/{held.pk}/").json()["free"] == 4


def test_columns_the_file_has_not_stay_and_an_empty_cell_says_not_known(desk: Desk, shop: Dealer) -> None:
    header = "supplier,maker,number,price,pack,minimum,lead_days,promised_from,promised_to"
    loaded(desk, f"{header}\nfenmoor,VRD,77-000,1.00,1,0,,2026-04-20,2026-04-22\n", table="prices")
    loaded(desk, "supplier,maker,number,price,pack,minimum\nfenmoor,VRD,77-000,1.10,1,0\n", table="prices", feed="b")
    supplier = SupplierPrice.objects.all()
    assert [(one.price, str(one.promised_latest), one.lead_days) for one in supplier] == [(11_000, "2026-04-22", None)]
    loaded(desk, f"{header}\nfenmoor,VRD,77-000,1.10,1,0,4,,\n", table="prices")
    assert [(one.promised_latest, one.lead_days) for one in supplier.all()] == [(None, 4)]


def test_rows_that_contradict_each_other_or_themselves_are_named(desk: Desk, shop: Dealer) -> None:
    rows = [
        "branch,maker,number,on_hand,bin,counter_price,counter_currency,date_code",
        "main,VRD,77-000,1,A1,18.90,USD,", "main,VRD,77.000,2,A1,18.90,USD,", "main,VRD,77-000,3,A2,19.90,USD,",
        "nowhere,VRD,77-001,1,A1,,,", "main,ZZZ,77-001,1,A1,,,", "main,VRD,77-002,1,A1,1.00,QQQ,",
        "main,VRD,77-003,-1,A1,,,", "main,VRD,77-004,1,A1,,,12/04/2026",
    ]  # fmt: skip
    done = loaded(desk, "\n".join(rows), table="stock")
    assert done.problems == (
        (3, "", "stated_twice"), (4, "counter_price", "contradiction"), (5, "branch", "unknown_branch"),
        (6, "maker", "unknown_maker"), (7, "counter_currency", "unknown_currency"),
        (8, "on_hand", "not_a_whole_number"), (9, "date_code", "not_a_date"),
    )  # fmt: skip
    assert done.counts == (1, 0, 0)


def test_the_stock_of_another_dealer_is_not_touched(desk: Desk, shop: Dealer, weir_lane: Dealer) -> None:
    theirs = other_branch(weir_lane)
    item(theirs, part("VRD", "77-000"), (6, 0))
    priced(fenmoor(weir_lane), part("VRD", "77-000"), 5)
    done = loaded(desk, "branch,maker,number,on_hand\nquay,VRD,77-000,1\n", table="stock", whole="true")
    assert {code for _, _, code in done.problems} == {"unknown_branch"}
    loaded(desk, price_file({"77-001": "1.00"}), table="prices", whole="true")
    assert on_hand("77-000") == 6
    assert SupplierPrice.objects.visible_to(weir_lane).count() == 1


def test_an_import_is_seen_by_its_dealer_alone_and_listed_newest_first(desk: Desk, other_desk: Desk, shop: Any) -> None:
    first = loaded(desk, stock_file({"77-000": 5}), table="stock")
    last = loaded(desk, price_file({"77-000": "1.00"}), table="prices")
    listed = desk.get("/stock-imports/").json()["results"]
    assert [entry["id"] for entry in listed] == [str(last.row.pk), str(first.row.pk)]
    assert desk.get("/stock-imports/?table=stock").json()["results"][0]["counts"]["applied"]["added"] == 1
    assert other_desk.get("/stock-imports/").json()["results"] == []
