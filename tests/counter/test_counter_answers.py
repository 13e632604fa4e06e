"""A counter answer is a recorded check with what lies here, what it costs and what else would do.

Common practice, no source (trade.md 1.1, 1.5, 1.10), where nothing else is said.
"""

from datetime import date, time
from typing import Any

import pytest

from catalog.models import Check, Part
from kits.models import Incoming, StockBatch
from service.operations.models import Dealer
from tests.acceptance.chains import GENSET_NORTH, PUMP_3, RESURFACER_1, TRUCK_7
from tests.api.approving import approved, machine_named, set_gap
from tests.api.world import Desk, demo_question
from tests.counter.counter_cast import NEW, OLD, applied, asked, at_counter, filter_named, four_old_filters, numbers
from tests.counter.counter_cast import on_shelf as lay
from tests.desks import Clock
from tests.stock.rows import calendar, fenmoor, item, main_branch, other_branch, priced

pytestmark = [pytest.mark.db, pytest.mark.usefixtures("clock")]
MEMBERS = {
    "check", "offer", "branch", "headline_stock", "offer_first", "offered", "stock", "price", "also_needed",
    "old_stock", "old_stock_missing", "alternatives", "not_offered", "more_not_offered", "not_looked_at", "age",
}  # fmt: skip


def test_the_check_inside_is_recorded_as_any_check_is(desk: Desk, tallis_bridge: Dealer) -> None:
    answer = asked(desk)
    check = answer["check"]
    assert set(answer) == MEMBERS
    assert desk.get(f"/checks/{check['id']}/").json() == check
    plain = desk.answer({"candidate": {"maker": "VRD", "number": NEW}, "application": RESURFACER_1})
    told = {"id", "checked_at", "checked_by"}
    assert {name: value for name, value in check.items() if name not in told} == {
        name: value for name, value in plain.items() if name not in told
    }
    assert Check.objects.get(pk=check["id"]).question == Check.objects.get(pk=plain["id"]).question


def test_the_same_check_is_shown_again_with_the_stock_of_now(desk: Desk, tallis_bridge: Dealer) -> None:
    held = lay(main_branch(tallis_bridge), filter_named(NEW), 5, 2)
    created = desk.post(
        "/counter-answers/", {"candidate": {"maker": "VRD", "number": NEW}, "application": RESURFACER_1}
    )
    first = created.json()
    assert created.headers["Location"] == f"/api/v1/counter-answers/{first['check']['id']}/"
    address = f"/counter-answers/{first['check']['id']}/"
    assert desk.get(address).json() == first
    StockBatch.objects.filter(item=held).update(reserved=5)
    again = desk.get(address).json()
    assert again["check"] == first["check"]
    assert [(one["stock"][0]["free"], one["stock"][0]["short"]) for one in (first, again)] == [(3, 0), (0, 1)]


def test_the_last_piece_that_is_promised_is_not_free(desk: Desk, tallis_bridge: Dealer) -> None:
    lay(main_branch(tallis_bridge), filter_named(NEW), 1, 1)
    answer = asked(desk)
    (stock,) = answer["stock"]
    assert (stock["on_hand"], stock["reserved"], stock["free"], stock["short"]) == (1, 1, 0, 1)
    assert "not free (1 on hand, 1 promised)" in answer["headline_stock"]


def test_what_has_no_stock_item_is_unknown_and_not_none(desk: Desk, tallis_bridge: Dealer) -> None:
    answer = asked(desk)
    (stock,) = answer["stock"]
    assert (stock["recorded"], stock["on_hand"], stock["free"], stock["short"]) == (False, None, None, None)
    assert "nothing is recorded of it" in answer["headline_stock"]
    item(main_branch(tallis_bridge), filter_named(NEW))
    (stock,) = asked(desk)["stock"]
    assert (stock["recorded"], stock["free"]) == (True, 0)


def test_expired_pieces_are_passed_over_and_said(desk: Desk, tallis_bridge: Dealer) -> None:
    held = lay(main_branch(tallis_bridge), filter_named(NEW), 2, ages=True)
    codes = {"date_code": date(2020, 3, 1), "expires": date(2026, 3, 8)}
    StockBatch.objects.filter(item=held).update(**codes)
    StockBatch.objects.create(item=held, bin="D-1", on_hand=3)
    (stock,) = asked(desk)["stock"]
    assert (stock["on_hand"], stock["free"], stock["bins"]) == (5, 0, [])
    assert {(one["bin"], one["why"]) for one in stock["passed_over"]} == {("C-3", "expired"), ("D-1", "no_date_code")}
    assert "too old to be fitted today" in stock["text"]


def test_the_oldest_date_code_is_named_first(desk: Desk, tallis_bridge: Dealer) -> None:
    held = item(main_branch(tallis_bridge), filter_named(NEW))
    for place, code in (("A-1", date(2026, 1, 1)), ("B-1", date(2025, 6, 1))):
        StockBatch.objects.create(item=held, bin=place, on_hand=1, date_code=code)
    assert [one["bin"] for one in asked(desk)["stock"][0]["bins"]] == ["B-1", "A-1"]


def test_what_is_on_its_way_without_a_day_has_none(desk: Desk, tallis_bridge: Dealer) -> None:
    held = item(main_branch(tallis_bridge), filter_named(NEW))
    Incoming.objects.create(item=held, quantity=6, assigned=2)
    answer = asked(desk)
    assert answer["stock"][0]["incoming"] == [{"quantity": 4, "arrives_by": None}]
    assert "4 on their way without a promised day" in answer["headline_stock"]


def test_an_order_placed_now_arrives_on_a_day_that_both_sides_work(desk: Desk, tallis_bridge: Dealer) -> None:
    """From Monday 9 March four working days on; in by 16:00 in Paris, which is 15:00 UTC."""
    item(main_branch(tallis_bridge), filter_named(NEW))
    supplier = fenmoor(tallis_bridge, calendar=calendar(tallis_bridge, "fenmoor"), cut_off=time(16))
    priced(supplier, filter_named(NEW), 142_000, pack=6, minimum=6, lead_days=4)
    order = asked(desk, quantity=7)["stock"][0]["if_ordered_now"]
    assert (order["supplier"]["code"], order["arrives"], order["pieces"]) == ("fenmoor", "2026-03-13", 12)
    assert order["order_by"] == {"day": "2026-03-09", "cut_off": "2026-03-09T15:00:00Z"}
    assert order["missing"] == []


@pytest.mark.parametrize(
    ("with_calendar", "lead", "asks"),
    [(True, None, "How many working days does Fenmoor Engine & Pump take for VRD 0021-460?"),
     (False, 4, "On which days does Fenmoor Engine & Pump work? Record its calendar.")],
)  # fmt: skip
def test_where_nobody_knows_when_it_would_arrive_the_fact_that_lacks_is_asked_for(
    desk: Desk, tallis_bridge: Dealer, with_calendar: bool, lead: int | None, asks: str
) -> None:
    item(main_branch(tallis_bridge), filter_named(NEW))
    days = {"calendar": calendar(tallis_bridge, "fenmoor")} if with_calendar else {}
    priced(fenmoor(tallis_bridge, **days), filter_named(NEW), 142_000, lead_days=lead)
    order = asked(desk)["stock"][0]["if_ordered_now"]
    assert (order["arrives"], order["supplier"], order["missing"]) == (None, None, [asks])


def test_a_price_that_is_not_recorded_is_said_to_be_unknown(desk: Desk) -> None:
    price = asked(desk)["price"]
    assert (price["parts"][0]["each"], price["totals"], price["unpriced"]) == (None, [], ["VRD 0021-460"])
    assert "No counter price is recorded" in price["parts"][0]["text"]


def test_a_price_in_yen_has_no_decimals_and_a_line_is_rounded_by_itself(desk: Desk, tallis_bridge: Dealer) -> None:
    """Three at 2.335 USD are 7.01, rounded by line and half up (scenario 42); yen are paid whole (ISO 4217)."""
    branch = main_branch(tallis_bridge)
    held = lay(branch, filter_named(NEW), 9, counter_price=23_350, counter_currency="USD")
    price = asked(desk, quantity=3)["price"]
    assert price["parts"][0]["each"] == {"amount": "2.335", "currency": "USD"}
    assert price["totals"] == [{"amount": "7.01", "currency": "USD"}]
    held.counter_price, held.counter_currency = 15_000_000, "JPY"
    held.save()
    assert asked(desk, quantity=3)["price"]["totals"] == [{"amount": "4500", "currency": "JPY"}]


def test_a_set_in_two_currencies_has_a_total_in_each(desk: Desk, tallis_bridge: Dealer) -> None:
    branch = main_branch(tallis_bridge)
    for number, currency, free in (("7702", "USD", 5), ("7703", "EUR", 0)):
        lay(branch, filter_named(number, "OLM"), free, counter_price=10_000, counter_currency=currency)
    answer = at_counter(desk, {"candidate": {"maker": "OLM", "number": "7701"}, "application": PUMP_3})
    assert answer["check"]["verdict"] == "accepted", answer["check"]["headline"]
    assert numbers(answer["stock"]) == ["7702", "7703"]
    assert answer["price"]["totals"] == [
        {"amount": "4.00", "currency": "EUR"}, {"amount": "2.00", "currency": "USD"}
    ]  # fmt: skip
    (choice,) = answer["offered"]
    assert (choice["free"], choice["enough"]) == (0, False)


def test_a_core_charge_is_a_line_of_its_own_and_in_no_total(desk: Desk, tallis_bridge: Dealer) -> None:
    lay(main_branch(tallis_bridge), filter_named(NEW), 1, counter_price=2_120_000, counter_currency="USD")
    priced(fenmoor(tallis_bridge), filter_named(NEW), 1_500_000, core_charge=600_000, pack=2)
    price = asked(desk)["price"]
    (part_price,) = price["parts"]
    assert part_price["core_charges"] == [
        {"supplier": "Fenmoor Engine & Pump", "each": {"amount": "60.00", "currency": "USD"}}
    ]
    assert "core charge beside it: 60.00 USD" in part_price["text"]
    assert price["totals"] == [{"amount": "212.00", "currency": "USD"}]
    assert part_price["packs"] == [{"supplier": "Fenmoor Engine & Pump", "pack": 2, "minimum": 0}]


def test_what_lies_free_at_another_branch_is_shown(desk: Desk, tallis_bridge: Dealer) -> None:
    quay = other_branch(tallis_bridge)
    lay(quay, filter_named(NEW), 4, 1)
    assert asked(desk, branch="main")["stock"][0]["elsewhere"] == [{"branch": "quay", "free": 3}]
    there = asked(desk, branch="quay")
    assert (there["branch"]["code"], there["stock"][0]["free"], there["stock"][0]["elsewhere"]) == ("quay", 3, [])


def test_old_stock_is_offered_first_and_a_dealer_may_turn_that_round(desk: Desk, tallis_bridge: Dealer) -> None:
    four_old_filters(tallis_bridge)
    answer, turned = asked(desk), asked(desk, offer_first="current")
    assert [one["as"] for one in answer["offered"]] == ["old_stock", "current"]
    assert [one["as"] for one in turned["offered"]] == ["current", "old_stock"]
    assert turned["headline_stock"].startswith("VRD 0021-450: 4 free here")  # of the current number none is there
    again = desk.get(f"/counter-answers/{answer['check']['id']}/?offer_first=current").json()
    assert again["offered"] == turned["offered"]


def test_what_would_be_decided_otherwise_today_is_not_offered_on_an_old_check(
    desk: Desk, tallis_bridge: Dealer
) -> None:
    lay(main_branch(tallis_bridge), filter_named(NEW), 5)
    answer = asked(desk)
    assert answer["offer"]["state"] == "offered"
    desk.made(f"/checks/{answer['check']['id']}/outcomes/", {"kind": "did_not_fit"})
    again = desk.get(f"/counter-answers/{answer['check']['id']}/").json()
    assert (again["check"], again["offer"]["state"]) == (answer["check"], "not_offered")
    assert (again["offered"], again["price"]["totals"]) == ([], [])
    assert "reported 2026-03-09" in again["headline_stock"]


def test_an_old_number_is_decided_by_a_check_of_its_own(desk: Desk, tallis_bridge: Dealer) -> None:
    four_old_filters(tallis_bridge)
    old = filter_named(OLD)
    # It did not fit there, as a customer has said: it is on hold, so it is no longer offered.
    check = desk.answer({"candidate": {"id": old.pk}, "application": RESURFACER_1})
    desk.made(f"/checks/{check['id']}/outcomes/", {"kind": "did_not_fit", "note": "seal too thin"})
    answer = asked(desk)
    assert (answer["old_stock"], [one["as"] for one in answer["offered"]]) == ([], ["current"])
    (passed,) = answer["not_offered"]
    assert (passed["part"]["number"], passed["verdict"], passed["free"]) == (OLD, "undetermined", 4)
    assert "on hold: did not fit" in passed["why"]


def test_a_blank_serial_offers_no_old_stock_and_says_what_would(desk: Desk, tallis_bridge: Dealer) -> None:
    four_old_filters(tallis_bridge)
    answer = asked(desk, application={**RESURFACER_1, "serial": None})
    assert answer["old_stock"] == []
    assert [fact["fact"] for fact in answer["old_stock_missing"]] == ["serial (change at 120000)"]


def test_what_is_rejected_has_no_price_and_what_would_do_here_is_named(desk: Desk, tallis_bridge: Dealer) -> None:
    branch = main_branch(tallis_bridge)
    lay(branch, filter_named("4410-07"), 8, counter_price=90_000, counter_currency="USD")
    lay(branch, filter_named("4410-12"), 8, bin_="B-1", counter_price=94_000, counter_currency="USD")
    answer = asked(desk, "4410-07", TRUCK_7, position="spark_plug")
    assert (answer["check"]["verdict"], answer["offer"]["state"]) == ("rejected", "not_offered")
    assert answer["price"]["parts"][0]["each"] is None
    assert "90" not in str(answer["price"])
    assert (answer["offered"], answer["price"]["totals"], answer["price"]["unpriced"]) == ([], [], [])
    first = answer["alternatives"][0]
    assert (first["part"]["number"], first["free_here"], first["price"][0]["each"]["amount"]) == (
        "4410-12",
        True,
        "9.40",
    )
    assert answer["headline_stock"].startswith(
        "VRD 4410-07 is not to be used here; instead VRD 4410-12: 8 free here in bin B-1"
    )


def test_what_cannot_be_told_is_not_offered_and_its_question_is_said(desk: Desk, tallis_bridge: Dealer) -> None:
    lay(main_branch(tallis_bridge), filter_named("4410-07"), 8, counter_price=90_000, counter_currency="USD")
    answer = at_counter(desk, demo_question("undetermined"))
    assert (answer["offer"]["state"], answer["price"]["parts"][0]["each"]) == ("not_offered", None)
    assert answer["check"]["missing"][0]["question"].rstrip(".") in answer["headline_stock"]
    assert answer["stock"][0]["free"] == 8


def test_what_lies_here_and_is_not_for_this_engine_is_named_with_its_reason_and_no_price(
    desk: Desk, tallis_bridge: Dealer
) -> None:
    branch = main_branch(tallis_bridge)
    lay(branch, filter_named("4410-07"), 8, counter_price=90_000, counter_currency="USD")
    answer = asked(desk, "4410-12", TRUCK_7, position="spark_plug")
    (passed,) = answer["not_offered"]
    assert (passed["part"]["number"], passed["verdict"], passed["free"]) == ("4410-07", "rejected", 8)
    assert "LP-gas" in passed["why"]
    assert "price" not in passed


def test_a_conditional_part_is_offered_with_its_conditions_and_the_approval_that_applies(
    desk: Desk, tallis_bridge: Dealer
) -> None:
    check = set_gap(desk)
    kept = Check.objects.get(pk=check["id"])
    found = desk.get(f"/counter-answers/{check['id']}/").json()
    assert (found["offer"]["state"], found["offer"]["approval"]) == ("only_if", None)
    assert found["offer"]["conditions"] == check["conditions"] != []
    assert found["offered"][0]["state"] == "only_if"
    assert found["headline_stock"].startswith("Only with its conditions: ")
    approval = approved(desk, check)
    again = desk.get(f"/counter-answers/{check['id']}/").json()
    assert (again["offer"]["state"], again["offer"]["approval"]) == ("only_if", approval)
    assert again["check"]["approval"] == approval
    assert kept.machine_id is not None
    assert str(kept.machine_id) == machine_named(desk, "Truck 7")


def test_cautions_of_the_check_stay_at_its_top(desk: Desk) -> None:
    question = {"candidate": {"maker": "TSK", "number": "H-410"}, "position": "hose_container_lockoff",
                "application": TRUCK_7}  # fmt: skip
    answer = at_counter(desk, question)
    assert answer["check"]["cautions"] == desk.answer(question)["cautions"] != []


def test_needed_parts_have_verdict_stock_and_price_of_their_own(desk: Desk, tallis_bridge: Dealer) -> None:
    washer = filter_named("1001")
    needs = [{"part": {"maker": "VRD", "number": "1001"}, "quantity": 2, "reason": "crushed once"},
             {"part": {"maker": "TSK", "number": "4470"}}]  # fmt: skip
    desk.changed(f"/parts/{filter_named('4410-12').pk}/", {"needs": needs})
    branch = main_branch(tallis_bridge)
    lay(branch, washer, 5, counter_price=8_500, counter_currency="USD")
    lay(branch, filter_named("4470", "TSK"), 5, counter_price=9_999, counter_currency="USD")
    answer = asked(desk, "4410-12", TRUCK_7, position="spark_plug")
    told = {row["part"]["number"]: row for row in answer["also_needed"]["results"]}
    good, wrong = told["1001"], told["4470"]
    assert (good["verdict"], good["stock"][0]["needed"], good["stock"][0]["short"]) == ("accepted", 8, 3)
    assert good["price"][0]["line"] == {"amount": "6.80", "currency": "USD"}
    assert (wrong["verdict"], wrong["price"][0]["each"], wrong["stock"][0]["free"]) == ("rejected", None, 5)


def test_how_old_the_stock_is_stands_beside_it(desk: Desk, tallis_bridge: Dealer, clock: Clock) -> None:
    assert asked(desk)["age"]["stock"] == {"stale": None, "feed": None, "as_of": None, "applied_at": None}
    applied(tallis_bridge, date(2026, 3, 8))
    applied(tallis_bridge, date(2026, 3, 1), "prices")
    fresh = asked(desk)
    assert fresh["age"]["stock"] == {
        "stale": False, "feed": "nightly", "as_of": "2026-03-08", "applied_at": "2026-03-09T03:00:00Z"
    }  # fmt: skip
    assert (fresh["age"]["prices"]["stale"], fresh["age"]["prices"]["as_of"]) == (True, "2026-03-01")
    assert "Stock is as of" not in fresh["headline_stock"]
    clock.at("2026-03-10T10:15:00+01:00")
    late = asked(desk)
    assert late["age"]["stock"]["stale"] is True
    assert late["headline_stock"].endswith("Stock is as of Sun 8 Mar.")
    assert late["age"]["check_catalogue_version"] == late["check"]["catalogue_version"]


def test_oil_is_told_by_the_size_of_its_containers(desk: Desk, tallis_bridge: Dealer) -> None:
    branch, supplier = main_branch(tallis_bridge), fenmoor(tallis_bridge)
    oil = Part.objects.filter(category="engine_oil", supplied_as="volume").order_by("pk")[0]
    lay(branch, oil, 3, content=5_000_000, counter_price=345_000, counter_currency="USD")
    priced(supplier, oil, 1_180_000, content=20_000_000)
    answer = at_counter(desk, {"candidate": {"id": oil.pk}, "application": RESURFACER_1})
    told = [(one["content"], one["recorded"], one["free"]) for one in answer["stock"]]
    assert told == [({"value": "5", "unit": "L"}, True, 3), ({"value": "20", "unit": "L"}, False, None)]


def test_as_many_are_asked_about_as_are_wanted(desk: Desk, tallis_bridge: Dealer) -> None:
    """Plugs are replaced all together, so one of four is a condition."""
    lay(main_branch(tallis_bridge), filter_named("4410-12"), 3)
    whole, one = (asked(desk, "4410-12", TRUCK_7, position="spark_plug", quantity=count) for count in (4, 1))
    assert (whole["check"]["verdict"], whole["stock"][0]["short"]) == ("accepted", 1)
    assert one["offer"]["state"] == "only_if"
    plain = desk.answer({"candidate": {"maker": "VRD", "number": "4410-12", "quantity": 1}, "position": "spark_plug",
                         "application": TRUCK_7})  # fmt: skip
    assert (one["check"]["verdict"], one["check"]["digest"]) == (plain["verdict"], plain["digest"])


def test_described_goods_lie_nowhere_and_cost_what_nobody_knows(desk: Desk) -> None:
    goods: dict[str, Any] = {"described": {"category": "spark_plug", "number_text": "X 9"}}
    answer = at_counter(desk, {"candidate": goods, "position": "spark_plug", "application": GENSET_NORTH})
    assert [one["recorded"] for one in answer["stock"]] in ([], [False])
    assert answer["price"]["totals"] == []


def test_without_an_engine_nothing_is_offered(desk: Desk) -> None:
    answer = at_counter(
        desk,
        {"candidate": {"maker": "VRD", "number": "4410-12"}, "replaces": {"maker": "VRD", "number": "4410-07"}},
    )
    assert (answer["offer"]["state"], answer["alternatives"], answer["old_stock"]) == ("not_offered", [], [])


def test_another_dealers_stock_never_shows(desk: Desk, tallis_bridge: Dealer, weir_lane: Dealer) -> None:
    theirs = other_branch(weir_lane)
    for number in (OLD, NEW, "0022-100"):
        lay(theirs, filter_named(number), 9, counter_price=1, counter_currency="USD")
    priced(fenmoor(weir_lane), filter_named(NEW), 1, lead_days=1)
    applied(weir_lane, date(2026, 3, 8))
    answer = asked(desk)
    (stock,) = answer["stock"]
    assert (stock["recorded"], stock["free"], stock["elsewhere"]) == (False, None, [])
    assert (answer["old_stock"], answer["alternatives"], answer["not_offered"]) == ([], [], [])
    assert answer["price"]["parts"][0]["packs"] == []
    assert answer["age"]["stock"]["stale"] is None
    assert "9 free" not in str(answer)
