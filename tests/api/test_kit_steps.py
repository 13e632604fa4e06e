"""From reserving to handing out: what the shelf promises, what has changed since, what is refused in which state."""

from typing import Any

import pytest

from kits.models import (
    Incoming,
    KitEvent,
    Reservation,
    ReservationState,
    ServiceRecord,
    StockBatch,
    Supplier,
    SupplierPrice,
)
from service.operations.keys import issue_key
from service.operations.models import Branch, Change, Dealer, Scope
from tests.api.approving import approved, confirm_conversion, machine_named, newest_change, refused
from tests.api.kit_cast import (
    KIT_500,
    LITRE,
    build,
    built,
    day,
    done,
    full_shelf,
    key,
    line_at,
    on_hand,
    part,
    price,
    shelve,
    step,
)
from tests.api.world import NOW, Desk, sent
from tests.april_week import price as offer
from tests.april_week import supplier

pytestmark = [pytest.mark.db, pytest.mark.usefixtures("clock")]
EVERY_STEP = ("reserve", "review", "pick", "fulfil", "cancel")


@pytest.fixture
def shelf(tallis_bridge: Dealer) -> Dealer:
    full_shelf(tallis_bridge)
    return tallis_bridge


def withdrawn(desk: Desk, number: str) -> None:
    """The maker takes a part out of the catalogue."""
    desk.changed(f"/parts/{part(number).pk}/", {"status": "withdrawn"})


def test_what_is_settled_is_reserved_and_told(desk: Desk, shelf: Dealer) -> None:
    since = newest_change()
    kit = done(desk, built(desk), "reserve")
    assert (kit["state"], kit["short"]) == ("reserved", [])
    for (_, number), pieces in KIT_500.items():
        assert on_hand(number) == (10, pieces)
    assert on_hand("9105") == (3, 1)
    stock = line_at(kit, "spark_plug")["use"][0]["stock"]
    assert (stock["reserved"], stock["free"], stock["short"]) == (4, 6, 0)
    told = list(Change.objects.filter(seq__gt=since, object_type="kit").values_list("kind", flat=True))
    assert told == ["kit.built", "kit.reserved"]
    assert done(desk, kit, "reserve")["short"] == []
    assert on_hand("4410-12") == (10, 4)


def test_the_oldest_date_code_goes_first_and_nothing_too_old_or_of_unknown_age(
    desk: Desk, tallis_bridge: Dealer
) -> None:
    for place, coded, pieces in (("B-1", "2025-05-01", 3), ("B-2", "2024-05-01", 3), ("B-3", "2023-05-01", 9)):
        expires = "2026-01-01" if place == "B-3" else "2030-01-01"
        shelve(tallis_bridge, "4410-12", pieces, bin_=place, date_code=coded, expires=expires, ages=True)
    shelve(tallis_bridge, "4410-12", 9, bin_="B-4", ages=True)
    kit = done(desk, built(desk, tasks=["spark_plugs"]), "reserve")
    bins = [(one["bin"], one["quantity"]) for one in line_at(kit, "spark_plug")["use"][0]["stock"]["bins"]]
    assert bins == [("B-2", 3), ("B-1", 1)]


def test_what_was_to_come_by_a_day_that_is_past_takes_nothing_off_what_is_short(
    desk: Desk, tallis_bridge: Dealer
) -> None:
    """Nobody knows when it comes (common practice, no source). It is 9 March."""
    batch = shelve(tallis_bridge, "2051", 0)
    coming = Incoming.objects.create(
        item=batch.item, quantity=1, promised_earliest=day("2026-02-20"), promised_latest=day("2026-03-08")
    )
    kit = done(desk, built(desk, tasks=["air_element"], fitted_on="2026-03-20"), "reserve")
    assert [(one["incoming"], one["short"]) for one in kit["short"]] == [(0, 1)]
    coming.promised_latest = day("2026-03-19")
    coming.save()
    assert [(one["incoming"], one["short"]) for one in done(desk, kit, "reserve")["short"]] == [(1, 0)]


def test_a_line_is_reserved_whole_or_not_at_all_and_what_is_short_is_told(desk: Desk, tallis_bridge: Dealer) -> None:
    shelve(tallis_bridge, "4410-12", 3)
    shelve(tallis_bridge, "2051", 1)
    price(tallis_bridge, "4410-12", "9.40", pack=4, minimum=4)
    kit = done(desk, built(desk, tasks=["spark_plugs", "air_element", "breather_valve"]), "reserve")
    assert (kit["state"], on_hand("4410-12"), on_hand("2051")) == ("reserved", (3, 0), (1, 1))
    plugs, breather = kit["short"]
    assert (plugs["needed"], plugs["free"], plugs["short"]) == (4, 3, 1)
    assert plugs["order"] == {
        "supplier": "fenmoor", "pieces": 4, "pack": 4, "price": {"amount": "9.40", "currency": "USD"},
    }  # fmt: skip
    assert (breather["free"], breather["order"]) == (None, None)
    assert "Nothing is recorded" in breather["why"]


def test_what_to_order_of_whom_is_told_in_the_branches_currency_where_it_can_be(
    desk: Desk, tallis_bridge: Dealer
) -> None:
    shelve(tallis_bridge, "2051", 0)
    price(tallis_bridge, "2051", "31.50")
    abroad = Supplier.objects.create(
        dealer=tallis_bridge, code="abroad", name="Weirside Spares", zone="Europe/Paris", currency="CAD"
    )
    SupplierPrice.objects.create(
        supplier=abroad, part=part("2051"), price=10_000, currency="CAD"
    )  # fmt: skip
    (short,) = done(desk, built(desk, tasks=["air_element"]), "reserve")["short"]
    assert short["order"]["price"] == {"amount": "31.50", "currency": "USD"}


def test_nothing_is_ordered_for_a_line_that_is_to_be_reviewed(desk: Desk, tallis_bridge: Dealer) -> None:
    branch = Branch.objects.get(dealer=tallis_bridge)
    fenmoor = supplier(tallis_bridge, branch)
    for number in ("2051", "3307"):
        offer(fenmoor, part(number), "31.50", lead_days=1)
    order = desk.made("/work-orders/", {"number": "J2", "machine": machine_named(desk, "Resurfacer 1")})
    kit = built(desk, tasks=["air_element", "breather_valve"], work_order="J2", fitted_on="2026-03-20")
    asked = {"kits": [kit["id"]], "seconds": 0}
    assert len(desk.made("/order-plans/", asked)["purchases"]) == 2
    withdrawn(desk, "2051")
    aside = done(desk, kit, "reserve")
    assert (aside["state"], aside["complete"]) == ("needs_review", False)
    plan = desk.made("/order-plans/", asked)
    assert [one["part"]["number"] for one in plan["purchases"]] == ["3307"]
    assert [(one["part"]["number"], one["ways"][0]["way"]) for one in plan["late"]] == [("2051", "settle_line")]
    desk.changed(f"/work-orders/{order['id']}/", {"state": "cancelled"})
    assert desk.made("/order-plans/", asked)["purchases"] == []


def test_a_line_that_changed_puts_the_kit_aside_and_is_let_go(desk: Desk, shelf: Dealer) -> None:
    kit = done(desk, built(desk), "reserve")
    withdrawn(desk, "2051")
    aside = done(desk, kit, "fulfil")
    assert aside["state"] == "needs_review"
    (changed,) = aside["review"]
    assert (changed["position"], changed["was"]["state"], changed["now"]["state"]) == (
        "air_element", "accepted", "not_checked",
    )  # fmt: skip
    assert (on_hand("2051"), on_hand("4410-12")) == ((10, 0), (10, 4))
    assert refused(step(desk, aside, "reserve")) == (409, "kit_state")
    accepted = done(desk, aside, "review")
    assert (accepted["state"], accepted["complete"], accepted["count"]) == ("reserved", False, "7 of 8")
    assert accepted["review"] == []
    assert line_at(accepted, "air_element")["use"] == []


def test_what_else_lies_there_is_told_where_a_line_is_short(desk: Desk, tallis_bridge: Dealer) -> None:
    """Old stock that may be used up, and the oil in other containers (trade notes, sections 1.5 and 5: permitted old
    stock is offered, never swapped; common practice, no source)."""
    full_shelf(tallis_bridge, oil=0)
    shelve(tallis_bridge, "9105", 20, content=LITRE)
    StockBatch.objects.filter(item__part__number="0021-460").update(on_hand=0)
    shelve(tallis_bridge, "0021-450", 4)
    kit = done(desk, built(desk), "reserve")
    oil, oil_filter = (line_at(kit, at)["use"][0]["stock"]["instead"] for at in ("engine_oil", "oil_filter"))
    assert oil == {"other_sizes": [{"content": "1", "free": 20}], "old_stock": []}
    (old,) = oil_filter["old_stock"]
    assert (old["part"]["number"], old["free"], "serial 118402 is below 120000" in old["why"]) == ("0021-450", 4, True)
    assert "In other containers lie 20 of 1 l." in " ".join(one["why"] for one in kit["short"])
    assert line_at(kit, "spark_plug")["use"][0]["stock"]["instead"] == {"other_sizes": [], "old_stock": []}
    chosen = {"line": line_at(kit, "oil_filter")["line"], "part": "0021-450", "person": "r.tarnick"}
    settled = done(desk, done(desk, kit, "settle", chosen), "reserve")
    assert (line_at(settled, "oil_filter")["use"][0]["part"]["number"], on_hand("0021-450")) == ("0021-450", (4, 1))


def test_old_stock_is_not_told_of_where_the_engine_may_not_have_it(desk: Desk, tallis_bridge: Dealer) -> None:
    """Truck 7 is from 120000 on, where 0021-460 alone is right (acceptance scenario 6)."""
    full_shelf(tallis_bridge)
    StockBatch.objects.filter(item__part__number="0021-460").update(on_hand=0)
    shelve(tallis_bridge, "0021-450", 4)
    stock = line_at(built(desk, "Truck 7", level="250"), "oil_filter")["use"][0]["stock"]
    assert (stock["short"], stock["instead"]) == (1, {"other_sizes": [], "old_stock": []})


def test_an_approval_that_is_gone_unsettles_its_line(desk: Desk, tallis_bridge: Dealer) -> None:
    confirm_conversion(desk)
    shelve(tallis_bridge, "4475", 10, maker="TSK")
    kit = built(desk, "Genset South", tasks=ANY_OF_TSK)
    line = line_at(kit, "spark_plug")
    assert line["state"] == "needs_approval"
    check = desk.get(f"/checks/{line['check']['id']}/").json()
    approval = approved(desk, check, person="r.tarnick")
    kit = built(desk, "Genset South", tasks=ANY_OF_TSK)
    assert line_at(kit, "spark_plug")["state"] == "approved"
    kit = done(desk, kit, "reserve")
    assert on_hand("4475") == (10, 6)
    assert desk.get(f"/kits/{kit['id']}/").json()["complete"] is True
    desk.post(f"/approvals/{approval['id']}/withdraw/", {"reason": "the regulator leaks"})
    read = desk.get(f"/kits/{kit['id']}/").json()
    line = line_at(read, "spark_plug")
    assert (read["complete"], line["settled"], line["state"]) == (False, False, "needs_approval")
    assert line["words"][-1] == "The approval that the line rested on does not apply any more."
    assert [one["complete"] for one in desk.get("/kits/").json()["results"]] == [False, False]
    table = sent(desk.get(f"/kits/{kit['id']}/lines.csv")).decode()
    assert ("needs_approval" in table, "approved," in table) == (True, False)
    plan = desk.made("/order-plans/", {"kits": [kit["id"]], "seconds": 0})
    (late,) = (one for one in plan["late"] if one["lines"][0]["line"] == line["line"])
    assert (late["part"]["number"], late["ways"][0]["way"]) == ("4475", "settle_line")
    aside = done(desk, kit, "reserve")
    assert (aside["state"], on_hand("4475")) == ("needs_review", (10, 0))
    assert aside["review"][0]["words"] == ["The approval that the line rested on does not apply any more."]


ANY_OF_TSK = ["spark_plugs"]


def test_picking_confirms_the_bins_and_lets_go_of_what_was_not_there(desk: Desk, shelf: Dealer) -> None:
    kit = done(desk, built(desk), "reserve")
    number = line_at(kit, "spark_plug")["line"]
    more = step(desk, kit, "pick", {"short": [{"line": number, "quantity": 5, "reason": "empty"}]})
    assert refused(more)[1] in ("more_than_reserved", "invalid")
    picked = done(desk, kit, "pick", {"short": [{"line": number, "quantity": 1, "reason": "one was cracked"}]})
    assert picked["state"] == "picked"
    assert (on_hand("4410-12"), picked["short"][0]["reason"]) == ((10, 3), "one was cracked")
    assert {one["line"]: one["quantity"] for one in picked["picked"]}[number] == 3
    refusal = step(desk, picked, "fulfil")
    assert (refused(refusal), refusal.json()["lines"]) == ((409, "kit_incomplete"), [number])
    out = done(desk, picked, "fulfil", {"to_follow": [{"line": number, "reason": "a plug comes tomorrow"}]})
    assert (out["state"], on_hand("4410-12")) == ("fulfilled", (7, 0))
    assert line_at(out, "spark_plug")["to_follow"] == {"reason": "a plug comes tomorrow"}


def test_handing_out_takes_the_pieces_off_the_shelf_once(desk: Desk, shelf: Dealer) -> None:
    kit, again = done(desk, built(desk), "reserve"), key()
    address = f"/kits/{kit['id']}/fulfil/"
    first, second = (desk.post(address, {}, **again) for _ in range(2))
    assert (first.status_code, first.json()) == (200, second.json())
    assert (on_hand("4410-12"), on_hand("9105")) == ((6, 0), (2, 0))
    assert {one.state for one in Reservation.objects.all()} == {ReservationState.TAKEN}
    assert ServiceRecord.objects.filter(machine__name="Resurfacer 1", on="2026-03-09").count() == 0
    assert refused(desk.post(address, {})) == (400, "idempotency_key_missing")


def test_open_lines_are_named_or_nothing_is_handed_out(desk: Desk, tallis_bridge: Dealer) -> None:
    shelve(tallis_bridge, "2051", 1)
    kit = done(desk, built(desk, tasks=["air_element", "breather_valve"]), "reserve")
    breather = line_at(kit, "pcv_valve")["line"]
    assert refused(step(desk, kit, "fulfil")) == (409, "kit_incomplete")
    wrong = step(desk, kit, "fulfil", {"to_follow": [{"line": 99, "reason": "none"}]})
    assert refused(wrong) == (404, "no_such_line")
    assert on_hand("2051") == (1, 1)
    out = done(desk, kit, "fulfil", {"to_follow": [{"line": breather, "reason": "PCV to follow 22 Apr"}]})
    assert (out["state"], on_hand("2051")) == ("fulfilled", (0, 0))


def test_a_service_is_put_on_file_where_whoever_hands_out_says_it_was_done(desk: Desk, shelf: Dealer) -> None:
    kit = done(desk, built(desk), "reserve")
    told = {"on": "2026-03-09", "by": "J. Haverill", "reading": {"meter": "new", "value": "161"}}
    out = done(desk, kit, "fulfil", {"record_service": told})
    service = out["events"][-1]["detail"]["service"]
    (row,) = ServiceRecord.objects.filter(pk=service["id"])
    assert (row.hours, row.levels, row.by) == (80_000, ["250", "500"], "J. Haverill")
    assert {one["part"]["number"] for one in row.parts} == {number for _, number in KIT_500} | {"9105"}


def test_work_whose_parts_follow_or_are_left_out_is_not_on_file_as_done(desk: Desk, shelf: Dealer) -> None:
    StockBatch.objects.filter(item__part__number="3307").update(on_hand=0)
    kit = done(desk, built(desk), "reserve")
    air = line_at(kit, "air_element")["line"]
    kit = desk.changed(f"/kits/{kit['id']}/", {"lines": [{"line": air, "remove": True, "reason": "it is new"}]})
    follow = [{"line": line_at(kit, "pcv_valve")["line"], "reason": "PCV to follow 22 Apr"}]
    told = {"on": "2026-03-09", "by": "J. Haverill", "hours": "8000"}
    out = done(desk, kit, "fulfil", {"to_follow": follow, "record_service": told})
    service = out["events"][-1]["detail"]["service"]
    assert service["not_recorded"] == ["air_element", "breather_valve"]
    row = ServiceRecord.objects.get(pk=service["id"])
    assert (row.levels, set(row.tasks) & {"air_element", "breather_valve"}) == ([], set())
    assert {"spark_plugs", "engine_oil"} <= set(row.tasks)


def test_a_kit_for_single_tasks_puts_no_level_on_file(desk: Desk, shelf: Dealer) -> None:
    kit = done(desk, built(desk, tasks=["spark_plugs"]), "reserve")
    out = done(desk, kit, "fulfil", {"record_service": {"on": "2026-03-09", "by": "J. Haverill"}})
    row = ServiceRecord.objects.get(pk=out["events"][-1]["detail"]["service"]["id"])
    assert (row.tasks, row.levels, row.hours) == (["spark_plugs"], [], None)


def test_a_service_that_cannot_be_recorded_hands_nothing_out(desk: Desk, shelf: Dealer) -> None:
    kit = done(desk, built(desk), "reserve")
    told = {"on": "2026-03-09", "by": "J. Haverill", "reading": {"meter": "none", "value": "161"}}
    response = step(desk, kit, "fulfil", {"record_service": told})
    assert refused(response) == (404, "unknown_meter")
    assert response.json()["errors"][0]["pointer"] == "#/record_service/reading/meter"
    assert on_hand("4410-12") == (10, 4)
    assert desk.get(f"/kits/{kit['id']}/").json()["state"] == "reserved"


def test_pieces_that_were_counted_away_are_not_handed_out(desk: Desk, shelf: Dealer) -> None:
    kit = done(desk, built(desk), "reserve")
    StockBatch.objects.filter(item__part__number="4410-12").update(on_hand=2)
    assert refused(step(desk, kit, "fulfil")) == (409, "stock_gone")
    assert (on_hand("4410-12"), on_hand("2051")) == ((2, 4), (10, 1))


def test_cancelling_gives_everything_back(desk: Desk, shelf: Dealer) -> None:
    kit = done(desk, built(desk), "reserve")
    gone = done(desk, kit, "cancel", {"reason": "the truck was sold"})
    assert gone["state"] == "cancelled"
    assert {one["part"]["number"] for one in gone["released"]} == {number for _, number in KIT_500} | {"9105"}
    assert all(on_hand(number) == (10, 0) for _, number in KIT_500)
    assert [event["what"] for event in gone["events"]] == ["built", "reserved", "cancelled"]
    assert gone["events"][-1]["detail"]["reason"] == "the truck was sold"


def test_each_step_is_refused_where_it_makes_no_sense(desk: Desk, shelf: Dealer) -> None:
    kit = built(desk, level="250")
    for name in ("review", "pick", "fulfil"):
        response = step(desk, kit, name)
        assert refused(response) == (409, "kit_state")
        assert response.json()["state"] == "built"
    done(desk, kit, "reserve")
    assert refused(step(desk, kit, "review")) == (409, "kit_state")
    done(desk, kit, "pick")
    for name in ("reserve", "review", "pick"):
        assert refused(step(desk, kit, name)) == (409, "kit_state")
    assert refused(desk.patch(f"/kits/{kit['id']}/", {"fitted_on": "2026-03-10"}, If_Match="*"))[1] == "kit_state"
    done(desk, kit, "cancel")
    for name in EVERY_STEP:
        assert refused(step(desk, kit, name)) == (409, "kit_state")
    assert KitEvent.objects.filter(kit=kit["id"]).count() == 4


def test_a_person_puts_a_part_on_a_line_that_its_check_allows(desk: Desk, shelf: Dealer) -> None:
    shelve(shelf, "2151", 2, maker="OLM")
    kit = done(desk, built(desk, tasks=["air_element"]), "reserve")
    number = line_at(kit, "air_element")["line"]
    other = {"line": number, "part": {"maker": "VRD", "number": "4410-12"}, "person": "w.osk"}
    refusal = step(desk, kit, "settle", other)
    assert refused(refusal) == (409, "not_settled")
    assert desk.get(f"/checks/{refusal.json()['check']}/").json()["verdict"] == "rejected"
    nobody = step(desk, kit, "settle", {"line": number, "part": {"maker": "VRD", "number": "2051"}})
    assert nobody.json()["errors"][0]["pointer"] == "#/person"
    mine = {"line": number, "part": {"maker": "OLM", "number": "2151"}, "person": "w.osk"}
    response = step(desk, kit, "settle", mine)
    verdict = desk.answer({"candidate": mine["part"], "position": "air_element",
                           "machine": machine_named(desk, "Resurfacer 1")})["verdict"]  # fmt: skip
    if verdict != "accepted":
        pytest.fail(f"OLM 2151 is {verdict} here; choose another part for this test")
    line = line_at(response.json(), "air_element")
    assert (line["part"]["number"], line["choice"]["by"]) == ("2151", "W. Osk")
    assert line["choice"]["instead_of"] == {"maker": "VRD", "number": "2051"}
    assert (response.json()["state"], on_hand("2051")) == ("built", (10, 0))
    assert refused(step(desk, kit, "settle", {**mine, "line": 9})) == (404, "no_such_line")


def test_a_kit_is_changed_by_who_has_read_it(desk: Desk, shelf: Dealer) -> None:
    kit = done(desk, built(desk), "reserve")
    address = f"/kits/{kit['id']}/"
    assert desk.patch(address, {"fitted_on": "2026-03-20"}).status_code == 428
    assert desk.patch(address, {"fitted_on": "2026-03-20"}, If_Match='"1-x"').status_code == 412
    plugs, air = line_at(kit, "spark_plug")["line"], line_at(kit, "air_element")["line"]
    changed = desk.changed(address, {
        "fitted_on": "2026-03-20",
        "lines": [{"line": air, "remove": True, "reason": "changed last month"},
                  {"line": plugs, "quantity": 3, "reason": "one is new"}],
        "extras": [{"part": {"maker": "VRD", "number": "21-450"}, "quantity": 2}],
    })  # fmt: skip
    assert changed["fitted_on"] == "2026-03-20"
    assert on_hand("2051") == (10, 0)
    assert air not in {line["line"] for line in changed["lines"]}
    assert changed["left_out"][-1]["why"] == "changed last month"
    assert line_at(changed, "spark_plug")["check"]["conditions"] == ["all 4 are replaced together"]
    assert line_at(changed, None)["part"]["number"] == "21-450"
    detail = changed["events"][-1]["detail"]
    assert (detail["removed"], detail["lines"][0]["reason"]) == (
        [{"line": air, "reason": "changed last month"}], "one is new",
    )  # fmt: skip
    wrong = desk.patch(address, {
        "lines": [{"line": 77, "quantity": 1, "reason": "x"}], "fitted_on": "2026-01-01", "work_order": "J404",
    }, If_Match="*")  # fmt: skip
    pointers = {fault["pointer"] for fault in wrong.json()["errors"]}
    assert pointers == {"#/lines/0/line", "#/fitted_on", "#/work_order"}


@pytest.mark.parametrize(("name", "member"), [("pick", "short"), ("fulfil", "to_follow"), ("", "lines")])
def test_a_line_is_named_once_in_a_list(desk: Desk, shelf: Dealer, name: str, member: str) -> None:
    kit = done(desk, built(desk, tasks=["spark_plugs"]), "reserve")
    entry = {"line": 1, "reason": "one was cracked", **({} if member == "to_follow" else {"quantity": 1})}
    body = {member: [entry, entry]}
    sent = step(desk, kit, name, body) if name else desk.patch(f"/kits/{kit['id']}/", body, If_Match="*")
    assert [(one["pointer"], one["code"]) for one in sent.json()["errors"]] == [(f"#/{member}/1/line", "twice")]
    assert on_hand("4410-12") == (10, 4)


def test_a_later_day_lets_go_of_what_would_be_too_old(desk: Desk, tallis_bridge: Dealer) -> None:
    shelve(tallis_bridge, "2051", 1, expires=day("2026-03-31"))
    kit = done(desk, built(desk, tasks=["air_element"]), "reserve")
    assert on_hand("2051") == (1, 1)
    changed = desk.changed(f"/kits/{kit['id']}/", {"fitted_on": "2026-04-01"})
    assert (on_hand("2051"), changed["state"]) == ((1, 0), "built")
    assert line_at(changed, "air_element")["use"][0]["stock"]["passed_over"][0]["why"] == "expired"


@pytest.mark.parametrize("change", [{"state": "cancelled"}, {"state": "closed"}, {"machine": None}])
def test_a_work_order_that_ends_or_moves_lets_go_of_its_kits(desk: Desk, shelf: Dealer, change: Any) -> None:
    order = desk.made("/work-orders/", {"number": "J2", "machine": machine_named(desk, "Resurfacer 1")})
    kit = done(desk, built(desk, work_order="J2"), "reserve")
    other = done(desk, built(desk), "reserve")
    assert on_hand("4410-12") == (10, 8)
    changed = desk.changed(f"/work-orders/{order['id']}/", change)
    (gone,) = changed["released"]
    assert gone["kit"] == {"id": kit["id"], "number": kit["number"]}
    assert {"4410-12", "9105"} <= {one["part"]["number"] for one in gone["released"]}
    assert on_hand("4410-12") == (10, 4)
    read = desk.get(f"/kits/{kit['id']}/").json()
    assert (read["state"], read["events"][-1]["what"]) == ("needs_review", "released")
    assert "J2" in read["review"][0]["words"][0]
    assert desk.get(f"/kits/{other['id']}/").json()["state"] == "reserved"


def test_a_work_order_takes_another_day_and_machine_but_not_with_an_approval_on_it(desk: Desk) -> None:
    south, north = (machine_named(desk, name) for name in ("Genset South", "Genset North"))
    order = desk.made("/work-orders/", {"number": "J9", "machine": south})
    address = f"/work-orders/{order['id']}/"
    moved = desk.changed(address, {"planned_on": "2026-04-13", "machine": north})
    assert (moved["planned_on"], moved["machine"], moved["released"]) == ("2026-04-13", north, [])
    assert refused(desk.patch(address, {"machine": order["id"]}, If_Match="*"))[0] == 404
    desk.changed(address, {"machine": south})
    confirm_conversion(desk)
    check = desk.answer({"candidate": {"maker": "TSK", "number": "4475"}, "position": "spark_plug", "machine": south})
    approved(desk, check, person="r.tarnick", work_order="J9")
    assert refused(desk.patch(address, {"machine": north}, If_Match="*")) == (409, "work_order_approved")
    assert desk.changed(address, {"planned_on": None})["planned_on"] is None


def test_a_test_key_builds_kits_and_never_touches_the_shelf(desk: Desk, shelf: Dealer) -> None:
    issued = issue_key(dealer=shelf, name="trial", live=False, scopes=tuple(Scope.values), now=NOW)
    trial = Desk(desk.client, issued.text)
    order = trial.made("/work-orders/", {"number": "J2", "machine": machine_named(desk, "Resurfacer 1")})
    kit = built(trial, work_order="J2")
    for name in (*EVERY_STEP, "settle"):
        assert refused(step(trial, kit, name)) == (403, "test_key_refused")
    # Its end would let go of what its kits hold.
    ended = trial.patch(f"/work-orders/{order['id']}/", {"state": "closed"}, If_Match="*")
    assert refused(ended) == (403, "test_key_refused")
    assert trial.patch(f"/kits/{kit['id']}/", {"fitted_on": "2026-03-20"}, If_Match="*").status_code == 403
    assert on_hand("4410-12") == (10, 0)


def test_a_kit_that_is_short_of_everything_stays_built(desk: Desk) -> None:
    kit = done(desk, built(desk, tasks=["air_element"]), "reserve")
    assert (kit["state"], len(kit["short"])) == ("built", 1)
    assert build(desk, tasks=["air_element"]).status_code == 201
