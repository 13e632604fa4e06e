"""A machine is put on file from the pages, and what its plate says is changed there. The invented dealership."""

from __future__ import annotations

import re

import pytest

from catalog.models import Check, Customer, Machine
from service.operations.models import Dealer
from tests.api.approving import machine_named
from tests.api.world import Desk
from tests.pages.browser import Browser, Page

pytestmark = [pytest.mark.db, pytest.mark.usefixtures("clock")]

ADD = "/machines/add/"
PLATE = {"model": "VRD-H40", "spec": "S-131", "serial": "131300", "plate_0": "gasoline"}
FOUND = {"found": "lpg_liquid:HD-5", "mode": "only_fuel", "found_on": "2026-03-09", "conversion_paper": "yes",
         "evidence": "cylinder on the truck"}  # fmt: skip


def add(browser: Browser, **fields: str) -> Page:
    return browser.send(ADD, {**browser.get(ADD).form(ADD), **fields})


def change(browser: Browser, desk: Desk, name: str) -> tuple[str, dict[str, str]]:
    """The address of the form that changes a machine, and what stands in it."""
    at = f"/machines/{machine_named(desk, name)}/change/"
    return at, ticks_off(browser.get(at).form(at))


def ticks_off(fields: dict[str, str]) -> dict[str, str]:
    """As a browser sends it where no box was ticked."""
    return {name: value for name, value in fields.items() if name not in ("new_customer", "carry")}


def test_a_machine_is_put_on_file_with_all_that_is_known(counter: Browser, desk: Desk) -> None:
    use = {"place_of_use": "indoor", "dusty": "yes", "certified": "no", "ecu": ""}
    fields = {**PLATE, **FOUND, **use, "plate_1": "lpg_liquid", "customer": "Fellbrook Cold Store"}
    page = counter.send(ADD, {"name": "Truck 40", "new_customer": "yes", **fields})
    assert "The machine is on file." in page.text
    for words in ("VRD-H40 S-131", "131300", "LP-gas liquid HD-5", "conversion paper seen", "Fellbrook Cold Store"):
        assert words in page.text

    row = Machine.objects.get(name="Truck 40")
    assert page.address == f"/machines/{row.pk}/"
    kept = desk.get(f"/machines/{row.pk}/").json()
    assert kept["spec"] == {"model": "VRD-H40", "spec": "S-131"}
    assert (kept["serial"], kept["plate_fuels"]) == ("131300", ["gasoline", "lpg_liquid"])
    assert (kept["place_of_use"], kept["dusty"], kept["certified"], kept["ecu"]) == ("indoor", True, False, None)
    (record,) = kept["fuel_records"]
    assert (record["fuels"], record["mode"], record["conversion_paper"]) == (["lpg_liquid:HD-5"], "only_fuel", True)
    assert record["by"]


def test_what_is_left_empty_is_unknown(counter: Browser, desk: Desk) -> None:
    page = add(counter, name="Bare 7")
    assert "The machine is on file." in page.text
    kept = desk.get(f"/machines/{Machine.objects.get(name='Bare 7').pk}/").json()
    for name in ("spec", "serial", "customer", "place_of_use", "dusty", "certified", "ecu"):
        assert kept[name] is None
    assert (kept["plate_fuels"], kept["fuel_records"]) == ([], [])


def test_the_form_sent_twice_makes_one_machine(counter: Browser) -> None:
    fields = {**ticks_off(counter.get(ADD).form(ADD)), "name": "Truck 40", **PLATE, **FOUND}
    before = Machine.objects.count()
    first, second = (counter.send(ADD, fields) for _ in range(2))
    assert first.address == second.address
    assert "The machine is on file." in second.text
    assert Machine.objects.count() == before + 1
    assert Machine.objects.get(name="Truck 40").fuel_records.count() == 1


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        ({"name": ""}, "Fill this in."),
        ({"name": "Truck 7"}, "give this one another name"),
        ({"spec": "S-999"}, "There is no specification 'S-999' of model 'VRD-H40'; known of VRD-H40:"),
        ({"spec": ""}, "Both stand on the plate"),
        ({"serial": "no digits"}, "serial"),
        ({"plate_0": "coal"}, "coal"),
        ({"place_of_use": "the moon"}, "is no place of use"),
        ({"customer": "Nobody & Sons"}, "No customer of yours is called 'Nobody & Sons'"),
        ({"found": ""}, "Say what was found, or leave all of this empty."),
        ({"mode": ""}, "Say whether it can burn anything else."),
        ({"found_on": "2026-03-10"}, "2026-03-10 is still to come"),
        ({"found": "peat"}, "peat"),
    ],
)
def test_what_is_wrong_stands_beside_its_field_and_nothing_is_lost_or_saved(
    counter: Browser, wrong: dict[str, str], words: str
) -> None:
    fields = {"name": "Truck 40", **PLATE, **FOUND, "place_of_use": "indoor", **wrong}
    before = Machine.objects.count(), Customer.objects.count()
    page = counter.send(ADD, fields)
    assert page.status == 200
    assert "Nothing was saved." in page.text
    (at,) = wrong
    assert words in beside(page, at)
    chosen = {"plate_0": "coal", "place_of_use": "the moon", "found": "peat"}  # no browser sends these from a select
    kept = page.form(ADD)
    assert {name: kept[name] for name in fields if name != at or at not in chosen} == {
        name: value for name, value in fields.items() if name != at or at not in chosen
    }
    assert (Machine.objects.count(), Customer.objects.count()) == before


def beside(page: Page, field: str) -> str:
    """What is told beside a field."""
    found = re.search(rf'id="machine-{field}-told">(.*?)</div>', page.html, re.DOTALL)
    return "" if found is None else found[1].replace("&#x27;", "'").replace("&amp;", "&")


def test_every_fault_is_told_at_once(counter: Browser) -> None:
    fields = {"name": "Truck 7", **PLATE, **FOUND, "serial": "-", "customer": "Nobody", "found_on": "2026-04-01"}
    page = counter.send(ADD, fields)
    for field in ("serial", "customer", "found_on"):
        assert 'class="fault"' in beside(page, field)
    assert not Customer.objects.filter(name="Nobody").exists()


def test_what_goes_together_is_told_with_what_is_wrong_by_itself(counter: Browser) -> None:
    page = counter.send(ADD, {"name": "", "model": "VRD-H40", "found": "lpg_liquid", "found_on": "soon"})
    told = {field: beside(page, field) for field in ("name", "spec", "mode", "found_on")}
    assert [field for field, words in told.items() if 'class="fault"' not in words] == []


def test_a_customer_who_is_new_is_not_kept_where_the_machine_is_not(counter: Browser) -> None:
    page = counter.send(ADD, {"name": "Truck 7", "customer": "Newcomer", "new_customer": "yes"})
    assert "give this one another name" in beside(page, "name")
    assert not Customer.objects.filter(name="Newcomer").exists()


def test_a_customer_on_file_is_found_in_any_case_and_offered(counter: Browser) -> None:
    known = Machine.objects.exclude(customer=None).first()
    assert known is not None
    assert known.customer is not None
    assert f'<option value="{known.customer.name}">' in counter.get(ADD).html
    add(counter, name="Truck 40", customer=known.customer.name.upper(), new_customer="yes")
    assert Machine.objects.get(name="Truck 40").customer == known.customer


def asked(browser: Browser, **more: str) -> Page:
    return browser.send("/counter/", {"number": "4410-12", "model": "VRD-H40", "spec": "S-131", **more})


def test_an_engine_asked_about_at_the_counter_is_kept_with_what_was_told(counter: Browser) -> None:
    """Asked by its plate; then told that it burns LP-gas, by somebody who looked."""
    first = asked(counter, serial="131300")
    told = {"f0": "lpg_liquid", "f0_mode": "only_fuel", "f0_on": "2026-03-05"}
    answer = counter.send(f"{first.address}told/", told)
    (way,) = [link for link in answer.links if link.startswith(ADD)]

    page = counter.get(way)
    assert "LP-gas liquid , found 2026-03-05: the only fuel it can burn now no conversion paper shown" in page.text
    fields = page.form(way)
    assert (fields["model"], fields["spec"], fields["serial"]) == ("VRD-H40", "S-131", "131300")
    kept = counter.send(way, {**fields, "name": "Truck 41", "plate_0": "gasoline"})
    assert "The machine is on file." in kept.text
    (record,) = Machine.objects.get(name="Truck 41").fuel_records.all()
    assert (record.fuels, record.mode, record.found_on.isoformat()) == (["lpg_liquid"], "only_fuel", "2026-03-05")
    assert (record.by, record.evidence) == (Check.objects.latest("checked_at").asked_by, "seen at the counter")


def test_what_was_told_is_left_out_where_the_tick_is_taken_away(counter: Browser) -> None:
    first = asked(counter)
    answer = counter.send(f"{first.address}told/", {"f0": "lpg_liquid", "f0_mode": "only_fuel"})
    (way,) = [link for link in answer.links if link.startswith(ADD)]
    wrong = counter.send(way, ticks_off(counter.get(way).form(way)))
    assert "Fill this in." in beside(wrong, "name")
    assert " checked" not in wrong.html
    counter.send(way, {**ticks_off(counter.get(way).form(way)), "name": "Truck 42"})
    assert not Machine.objects.get(name="Truck 42").fuel_records.exists()


def test_an_engine_on_file_or_not_named_is_not_offered_to_be_kept(counter: Browser) -> None:
    on_file = counter.send("/counter/", {"number": "4475", "machine": "Genset South"})
    nothing = counter.send("/counter/", {"number": "4410-12"})
    for page in (on_file, nothing):
        assert [link for link in page.links if link.startswith(f"{ADD}?")] == []
    assert ADD in nothing.links, "where the engine is asked for, one can be put on file"


def test_another_dealers_answer_fills_no_form(counter: Browser, stranger: Browser) -> None:
    check = asked(counter).address.split("/")[2]
    assert stranger.get(f"{ADD}?check={check}").status == 404
    assert stranger.get(f"{ADD}?check=made-up").status == 404


def test_what_the_plate_says_is_changed_and_what_is_emptied_is_unknown(counter: Browser, desk: Desk) -> None:
    at, fields = change(counter, desk, "Truck 7")
    before = desk.get(f"/machines/{machine_named(desk, 'Truck 7')}/").json()
    assert (fields["serial"], fields["plate_0"]) == (before["serial"], before["plate_fuels"][0])
    page = counter.send(at, {**fields, "serial": "131078", "place_of_use": "", "ecu": "yes"})
    assert "What you changed is on file." in page.text
    after = desk.get(f"/machines/{machine_named(desk, 'Truck 7')}/").json()
    assert after == {**before, "serial": "131078", "place_of_use": None, "ecu": True}


def test_a_form_that_changes_nothing_loses_nothing(counter: Browser, desk: Desk) -> None:
    for name in ("Truck 7", "Genset South", "Truck 2"):
        before = desk.get(f"/machines/{machine_named(desk, name)}/").json()
        at, fields = change(counter, desk, name)
        assert "What you changed is on file." in counter.send(at, fields).text
        assert desk.get(f"/machines/{machine_named(desk, name)}/").json() == before


def test_what_somebody_else_changed_meanwhile_is_told_and_not_overwritten(counter: Browser, desk: Desk) -> None:
    at, fields = change(counter, desk, "Truck 7")
    theirs = change(counter, desk, "Truck 7")[1]
    counter.send(at, {**theirs, "serial": "131079"})
    for _ in range(2):  # sending it once more does not help
        page = counter.send(at, {**fields, "serial": "131080", "place_of_use": "outdoor"})
        assert page.status == 200
        assert "Somebody else has changed this machine since the form was opened." in page.text
        assert "On file now: 131079." in beside(page, "serial")
        assert page.form(at)["serial"] == "131080"
        assert at in page.links
    row = Machine.objects.get(name="Truck 7")
    assert (row.serial, row.place_of_use) == ("131079", "indoor")


def test_a_change_that_is_wrong_is_told_beside_its_field(counter: Browser, desk: Desk) -> None:
    at, fields = change(counter, desk, "Truck 7")
    page = counter.send(at, {**fields, "name": "Truck 2", "spec": "S-131"})
    assert (page.status, page.form(at)["name"]) == (200, "Truck 2")
    assert "give this one another name" in beside(page, "name")
    page = counter.send(at, {**fields, "spec": "S-999", "customer": "Nobody"})
    assert "S-999" in beside(page, "spec")
    assert "Nobody" in beside(page, "customer")
    assert Machine.objects.filter(name="Truck 7", specification__spec="S-131").exists()


def test_a_change_sent_twice_is_one_change(counter: Browser, desk: Desk) -> None:
    at, fields = change(counter, desk, "Truck 7")
    pages = [counter.send(at, {**fields, "serial": "131078"}) for _ in range(2)]
    assert [page.address for page in pages] == [at.removesuffix("change/")] * 2
    assert Machine.objects.get(name="Truck 7").version == int(fields["version"]) + 1


def test_another_dealers_machine_is_not_changed(stranger: Browser, desk: Desk) -> None:
    at = f"/machines/{machine_named(desk, 'Truck 7')}/change/"
    assert stranger.get(at).status == 404
    assert stranger.send(at, {"name": "Mine", "version": "1"}).status == 404


def test_a_machine_is_withdrawn_and_brought_back(counter: Browser, stranger: Browser, desk: Desk) -> None:
    at = f"/machines/{machine_named(desk, 'Truck 7')}/"
    form = f"{at}standing/"
    assert stranger.send(form, {"status": "withdrawn"}).status == 404
    assert counter.send(form, {"status": "sold"}).status == 400
    assert "Truck 7" in counter.get("/due/").text

    page = counter.send(form, counter.get(f"{at}change/").form(form))
    assert "The machine is withdrawn" in page.text
    assert "no kit is built for it" in page.text
    assert "Truck 7" not in counter.get("/due/").text
    version = Machine.objects.get(name="Truck 7").version
    counter.send(form, {"status": "withdrawn"})
    assert Machine.objects.get(name="Truck 7").version == version

    page = counter.send(form, counter.get(f"{at}change/").form(form))
    assert "The machine is back" in page.text
    assert "Truck 7" in counter.get("/due/").text


def test_the_forms_are_a_link_away_and_hold_no_script_of_their_own(
    counter: Browser, stranger: Browser, weir_lane: Dealer, desk: Desk
) -> None:
    assert ADD in counter.get("/machines/").links
    assert ADD in stranger.get("/machines/").links
    at = f"/machines/{machine_named(desk, 'Truck 7')}/"
    assert f"{at}change/" in counter.get(at).links
    for address in (ADD, f"{at}change/"):
        for words in ("<style", "<script", " style=", " onclick="):
            assert words not in counter.get(address).html.lower()
