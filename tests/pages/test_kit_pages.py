"""The page of a kit: open lines first with what they wait for, steps where they are open, and what each changed."""

from typing import Any
from uuid import uuid4

import pytest

from kits.models import Kit, StockBatch
from service.operations.models import Dealer
from tests.api.approving import machine_named
from tests.api.kit_cast import built, done, full_shelf, handle, line_at, on_hand, shelve
from tests.api.world import Desk
from tests.pages.browser import Browser, Page

pytestmark = [pytest.mark.db, pytest.mark.usefixtures("clock")]


def page_of(counter: Browser, kit: dict[str, Any]) -> Page:
    return counter.get(f"/kits/{kit['id']}/")


def steps_on(page: Page) -> set[str]:
    return {action.split("/")[-2] for action in page.forms() if action.startswith("/kits/")}


def take(counter: Browser, kit: dict[str, Any], step: str, **fields: str) -> Page:
    """Send the form of a step as it stands, with these fields filled in."""
    page = page_of(counter, kit)
    return counter.send(f"/kits/{kit['id']}/{step}/", {**page.form(f"/{step}/"), **fields})


def test_a_kit_is_built_on_the_page_of_its_machine_and_shows_its_lines(
    counter: Browser, desk: Desk, tallis_bridge: Dealer
) -> None:
    full_shelf(tallis_bridge)
    at = f"/machines/{machine_named(desk, 'Resurfacer 1')}/"
    page = counter.send(f"{at}kits/", {"once": uuid4().hex, "level": "500"})
    kit = Kit.objects.get()
    assert page.address == f"/kits/{kit.pk}/"
    for words in ("8 of 8 lines settled", "VRD 4410-12", "1 x 5 l", "0.7 l left over", "The engine's maker specifies"):
        assert words in page.text
    assert {f"/api/v1/kits/{kit.pk}/{name}" for name in ("lines.csv", "pick-list.pdf", "label.pdf")} <= set(page.links)
    assert f"/kits/{kit.pk}/" in counter.get(at).links
    assert f"/kits/{kit.pk}/" in counter.get("/kits/").links


def test_another_dealers_kit_is_not_there(counter: Browser, stranger: Browser, desk: Desk) -> None:
    kit = built(desk)
    assert stranger.get(f"/kits/{kit['id']}/").status == 404
    for step in ("reserve", "pick", "fulfil", "cancel", "review", "settle"):
        assert stranger.send(f"/kits/{kit['id']}/{step}/", {"once": "1"}).status == 404
    assert "No kit is open." in stranger.get("/kits/").text
    assert Kit.objects.get().state == "built"


def test_only_steps_that_are_open_have_a_form(counter: Browser, desk: Desk, tallis_bridge: Dealer) -> None:
    full_shelf(tallis_bridge)
    kit = built(desk)
    assert steps_on(page_of(counter, kit)) == {"reserve", "cancel"}
    done(desk, kit, "reserve")
    assert steps_on(page_of(counter, kit)) == {"reserve", "pick", "fulfil", "cancel"}
    done(desk, kit, "cancel")
    assert steps_on(page_of(counter, kit)) == set()


def test_each_step_says_what_it_changed(counter: Browser, desk: Desk, tallis_bridge: Dealer) -> None:
    full_shelf(tallis_bridge)
    kit = built(desk)
    reserved = take(counter, kit, "reserve")
    number = line_at(kit, "spark_plug")["line"]
    assert f"Line {number}: 4 x VRD 4410-12 from A-1." in reserved.text
    picked = take(counter, kit, "pick", **{f"short-{number}": "1", f"why-{number}": "one was cracked"})
    assert f"Line {number} is short: one was cracked" in picked.text
    out = take(counter, kit, "fulfil", **{f"follow-{number}": "a plug comes on Tuesday", "done": "yes"})
    assert f"Line {number} follows later: a plug comes on Tuesday" in out.text
    assert "On file as done on 2026-03-09: " in out.text
    assert Kit.objects.get().state == "fulfilled"
    assert on_hand("0021-460") == (9, 0)
    assert "Kit 1" in counter.get("/kits/?show=ended").text


def test_a_step_sent_twice_is_done_once(counter: Browser, desk: Desk, tallis_bridge: Dealer) -> None:
    full_shelf(tallis_bridge)
    kit = built(desk)
    done(desk, kit, "reserve")
    fields = page_of(counter, kit).form("/fulfil/")
    first, second = (counter.send(f"/kits/{kit['id']}/fulfil/", fields) for _ in range(2))
    assert (first.status, second.status, on_hand("0021-460")) == (200, 200, (9, 0))


def test_a_step_that_is_not_open_is_refused_in_words_and_changes_nothing(
    counter: Browser, desk: Desk, tallis_bridge: Dealer
) -> None:
    full_shelf(tallis_bridge)
    kit = built(desk)
    page = counter.send(f"/kits/{kit['id']}/pick/", {"once": uuid4().hex})
    assert page.status == 200
    assert "Nothing was changed. The kit is built, and picking is for one that is reserved." in page.text
    assert Kit.objects.get().state == "built"


def test_faults_of_a_step_stand_beside_their_fields_with_what_was_typed(
    counter: Browser, desk: Desk, tallis_bridge: Dealer
) -> None:
    full_shelf(tallis_bridge)
    kit = built(desk)
    done(desk, kit, "reserve")
    number = line_at(kit, "spark_plug")["line"]
    half = take(counter, kit, "pick", **{f"short-{number}": "1"})
    assert (half.status, "Say what was found instead." in half.text) == (200, True)
    many = take(counter, kit, "pick", **{f"short-{number}": "9", f"why-{number}": "gone"})
    assert (many.status, "so no more can be short" in many.text) == (200, True)
    assert many.form("/pick/")[f"short-{number}"] == "9"
    StockBatch.objects.filter(item__part__number="0021-460").update(on_hand=1)
    late = take(counter, kit, "fulfil", done="yes", on="2026-03-10")
    assert (late.status, "2026-03-10 is after today" in late.text) == (200, True)
    assert on_hand("0021-460") == (1, 1)


def test_an_open_line_is_named_before_anything_goes_out(counter: Browser, desk: Desk, tallis_bridge: Dealer) -> None:
    full_shelf(tallis_bridge)
    StockBatch.objects.filter(item__part__number="3307").delete()
    kit = built(desk)
    done(desk, kit, "reserve")
    number = line_at(kit, "pcv_valve")["line"]
    page = take(counter, kit, "fulfil")
    assert (page.status, page.text.count("This line is open: settle and reserve it")) == (200, 1)
    assert f"follow-{number}" in page.form("/fulfil/")
    assert on_hand("0021-460") == (10, 1)


def test_lines_that_wait_come_first_with_the_fact_to_find(counter: Browser, desk: Desk) -> None:
    """Truck 2 of the demo: its plate says gasoline, and nobody has looked."""
    kit = built(desk, "Truck 2")
    text = page_of(counter, kit).text.split("Verdict, and why")[1]
    asked = text.index("What does the engine burn today: still gasoline, as the plate says?")
    assert asked < text.index("Use it")
    assert "Put it on file at the machine and build the kit anew" in text


def test_a_part_is_chosen_only_where_its_check_is_a_yes(counter: Browser, desk: Desk) -> None:
    kit = built(desk, "Truck 2")
    number = line_at(kit, "spark_plug")["line"]
    at = f"/kits/{kit['id']}/settle/"
    refused = counter.send(at, {"once": uuid4().hex, "line": str(number), "part": "4475"})
    assert (refused.status, "Nothing was changed." in refused.text) == (200, True)
    assert "TSK 4475 is no part to use there." in refused.text
    unknown = counter.send(at, {"once": uuid4().hex, "line": str(number), "part": "no such number"})
    assert (unknown.status, "no such number" in unknown.text) == (200, True)
    counter.send(f"/machines/{machine_named(desk, 'Truck 2')}/fuel-records/", {
        "found": "gasoline", "second": "", "mode": "only_fuel", "found_on": "2026-03-09"
    })  # fmt: skip
    drain = line_at(kit, "drain_washer")
    chosen = counter.send(at, {"once": uuid4().hex, "line": str(drain["line"]), "maker": "VRD", "part": "1001"})
    assert (chosen.status, f"Line {drain['line']} takes VRD 1001." in chosen.text) == (200, True)


def test_a_kit_that_would_be_decided_otherwise_is_to_be_reviewed(
    counter: Browser, desk: Desk, tallis_bridge: Dealer
) -> None:
    full_shelf(tallis_bridge)
    kit = built(desk)
    at = f"/machines/{machine_named(desk, 'Resurfacer 1')}/fuel-records/"
    counter.send(at, {"found": "natural_gas", "second": "", "mode": "only_fuel", "found_on": "2026-03-09"})
    page = take(counter, kit, "reserve")
    assert "Put aside: a line would be decided otherwise today." in page.text
    assert "To be reviewed." in page.text
    assert "review" in steps_on(page)
    reviewed = take(counter, kit, "review")
    assert "Reviewed and accepted as it is decided now." in reviewed.text
    assert Kit.objects.get().complete is False


def test_dangerous_goods_have_a_package_of_their_own_with_their_un_number(
    counter: Browser, desk: Desk, tallis_bridge: Dealer
) -> None:
    full_shelf(tallis_bridge)
    handle(tallis_bridge, "9105", transport="dangerous", un_number="UN1268", sheet_revision="2025-11")
    text = page_of(counter, built(desk)).text
    assert "Dangerous goods, UN1268 , in a package of their own 1 x VRD 9105" in text
    assert "VRD 9105 , revision 2025-11" in text


def test_a_short_line_says_what_else_lies_on_the_shelf(counter: Browser, desk: Desk, tallis_bridge: Dealer) -> None:
    full_shelf(tallis_bridge)
    StockBatch.objects.filter(item__part__number="0021-460").update(on_hand=0)
    shelve(tallis_bridge, "0021-450", 4)
    shelve(tallis_bridge, "0021-460", 9, bin_="B-2", date_code="2024-06-01", expires="2026-01-01")
    page = page_of(counter, built(desk))
    assert "0 free; 1 short. 9 more lie there, too old or of an age not known. 4 of VRD 0021-450 lie free" in page.text


def test_what_the_meter_showed_when_the_work_was_done_is_on_file(
    counter: Browser, desk: Desk, tallis_bridge: Dealer
) -> None:
    """Common practice, no source: who closes the job writes down the meter, and the forecast goes on from there."""
    full_shelf(tallis_bridge)
    kit = built(desk, "Truck 7", level="250")
    done(desk, kit, "reserve")
    both = take(counter, kit, "fulfil", done="yes", hours="4530", shown="4530")
    assert "Give lifetime hours or what the meter showed." in both.text
    page = take(counter, kit, "fulfil", done="yes", shown="4530.5")
    assert "On file as done on 2026-03-09" in page.text
    at = f"/machines/{machine_named(desk, 'Truck 7')}"
    read = desk.get(f"{at}/readings/").json()["results"]
    assert [one["held"] for one in read if (one["on"], one["value"]) == ("2026-03-09", "4530.5")] == [None]
    assert desk.get(f"{at}/due/").json()["lifetime"]["hours"] == "4530.5"
