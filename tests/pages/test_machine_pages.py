"""The pages of machines: found, shown with all that is on file, added to by forms that keep what was typed."""

import re
from uuid import uuid4

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from catalog.models import FuelRecord, Machine
from kits.models import Kit, MachineMeter, MeterReading
from tests.acceptance.service_desk import new_machine
from tests.api.approving import machine_named
from tests.api.world import Desk
from tests.pages.browser import Browser

pytestmark = [pytest.mark.db, pytest.mark.usefixtures("clock")]


def machine_page(desk: Desk, name: str) -> str:
    return f"/machines/{machine_named(desk, name)}/"


def test_the_list_names_engine_serial_fuel_as_found_and_what_is_next(counter: Browser) -> None:
    page = counter.get("/machines/?q=Genset+South")
    for words in ("Genset South", "TSK-R60 N-43", "61390", "LP-gas vapour, found 2024-05-06", "not as the plate says"):
        assert words in page.text
    assert "Truck 7" not in page.text


@pytest.mark.parametrize("typed", ["truck 7", "131077", "h40 131077", "Fellbrook 7"])
def test_a_machine_is_found_by_name_serial_model_and_customer(counter: Browser, typed: str) -> None:
    found = counter.get(f"/machines/?q={typed}").text
    assert "Truck 7" in found
    assert "Genset" not in found


def test_what_is_not_known_is_said_to_be_so_and_asked_for(counter: Browser) -> None:
    """Truck 2 of the demo: nobody has looked at its fuel and its serial is not on file."""
    found = counter.get("/machines/?q=Truck+2").text
    assert "not looked at yet; the plate says gasoline" in found
    assert "Cannot tell" in found


def test_an_empty_list_says_how_machines_get_in_and_a_search_without_a_hit_says_so(
    counter: Browser, stranger: Browser
) -> None:
    assert "No machine is on file yet" in stranger.get("/machines/").text
    page = counter.get("/machines/?q=<b>nowhere")
    assert "No machine of yours has <b>nowhere" in page.text
    assert "<b>nowhere" not in page.html


def test_pages_of_the_list_hold_each_machine_once(counter: Browser) -> None:
    seen, query = list[str](), "?page_size=5"
    for _ in range(3):  # fourteen machines
        page = counter.get(f"/machines/{query}")
        seen += [link for link in page.links if re.match("/machines/[0-9a-f-]{36}/", link)]
        query = [link for link in page.links if "cursor=" in link][-1]
    assert len(seen) == len(set(seen)) == Machine.objects.count() == 14
    assert counter.get("/machines/?cursor=made-up").status == 400


def test_a_longer_list_costs_no_statement_more(counter: Browser) -> None:
    counts = []
    for address in ("/machines/?page_size=2", "/machines/?page_size=14", "/due/?page_size=2", "/due/?page_size=14"):
        counter.get(address)
        with CaptureQueriesContext(connection) as asked:
            counter.get(address)
        counts.append(len(asked))
    assert counts[0] == counts[1]
    assert counts[2] == counts[3]


def test_a_longer_record_costs_no_statement_more(counter: Browser, desk: Desk) -> None:
    at, counts = machine_page(desk, "Truck 7"), list[int]()
    for hours in ("4530", "4531"):
        counter.get(at)
        with CaptureQueriesContext(connection) as asked:
            counter.get(at)
        counts.append(len(asked))
        for _ in range(3):
            counter.send(f"{at}readings/", {"on": "2026-03-09", "value": hours})
    assert counts[0] == counts[1]


def test_another_dealers_machine_is_not_there(stranger: Browser, desk: Desk) -> None:
    at = machine_page(desk, "Truck 7")
    for address in (at, f"{at}hours.svg", f"{at}supply/", f"{at}supply/pressure.svg"):
        assert stranger.get(address).status == 404
    for form in ("readings", "fuel-records", "serial", "meters", "kits"):
        assert stranger.send(f"{at}{form}/", {"value": "1"}).status == 404
    assert "Truck 7" not in stranger.get("/machines/").text


def test_nobody_sees_a_machine_without_signing_in(desk: Desk) -> None:
    for address in (machine_page(desk, "Truck 7"), "/machines/", "/due/", "/kits/"):
        response = Client().get(address)
        assert (response.status_code, response.headers["Location"]) == (302, f"/sign-in/?next={address}")


def test_the_page_shows_the_conflict_in_the_words_of_a_check(counter: Browser, desk: Desk) -> None:
    page = counter.get(machine_page(desk, "Genset South"))
    assert "Plate says natural gas, found on LP-gas vapour 2024-05-06, the only fuel it can burn now." in page.text
    assert f"/counter/?machine={machine_named(desk, 'Genset South')}" in page.links


def test_due_work_has_its_limit_what_decides_and_what_is_missing(counter: Browser, desk: Desk) -> None:
    """Truck 7 of the acceptance runs: 4560 h or 2026-07-12, forecast 2026-03-13 to 2026-03-22."""
    text = counter.get(machine_page(desk, "Truck 7")).text
    assert "4560 h or 2026-07-12, whichever is first" in text
    assert "hours decide" in text
    assert "When was this last done, and at how many hours: Button filter of the vaporiser?" in text


def test_a_reading_is_added_and_the_page_says_so(counter: Browser, desk: Desk) -> None:
    at = machine_page(desk, "Truck 7")
    page = counter.send(f"{at}readings/", {"on": "2026-03-09", "value": "4533.5", "note": "before the shift"})
    assert (page.status, page.address) == (200, at)
    assert "The reading is on file." in page.text
    kept = MeterReading.objects.get(shows=45335)
    assert (kept.on.isoformat(), kept.note) == ("2026-03-09", "before the shift")


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"on": "2026-03-09", "value": ""}, "Fill this in."),
        ({"on": "2026-03-09", "value": "many"}, "is no meter reading; type digits"),
        ({"on": "2026-03-10", "value": "4533"}, "2026-03-10 is after today, 2026-03-09"),
        ({"on": "yesterday", "value": "4533"}, "Expected a date such as 2026-03-09."),
    ],
)
def test_a_reading_that_cannot_be_taken_is_told_beside_its_field_and_kept_there(
    counter: Browser, desk: Desk, fields: dict[str, str], words: str
) -> None:
    at, before = machine_page(desk, "Truck 7"), MeterReading.objects.count()
    page = counter.send(f"{at}readings/", fields)
    assert page.status == 200
    assert words in page.text
    assert "Nothing was saved." in page.text
    assert {name: page.form("readings/")[name] for name in fields} == fields
    assert MeterReading.objects.count() == before


def test_a_reading_that_cannot_be_believed_is_held_until_somebody_says(counter: Browser, desk: Desk) -> None:
    at = machine_page(desk, "Truck 7")
    page = counter.send(f"{at}readings/", {"on": "2026-03-09", "value": "4000"})
    assert "Held" in page.text
    reading = MeterReading.objects.get(shows=40000)
    counter.send(f"{at}readings/{reading.pk}/review/", {"review": "perhaps"})
    reading.refresh_from_db()
    assert reading.review == "none"
    counter.send(f"{at}readings/{reading.pk}/review/", {"review": "rejected"})
    reading.refresh_from_db()
    assert (reading.review, reading.reviewed_by != "") == ("rejected", True)


def test_an_address_that_takes_a_form_leads_to_its_page(counter: Browser, desk: Desk) -> None:
    at = machine_page(desk, "Truck 7")
    assert counter.raw(f"{at}readings/").headers["Location"] == at


def test_what_was_found_burning_is_recorded_as_the_form_says_it(counter: Browser, desk: Desk) -> None:
    at = machine_page(desk, "Truck 2")
    fields = {"found": "lpg_liquid:HD-5", "second": "gasoline", "mode": "burns_today", "found_on": "2026-03-09"}
    page = counter.send(f"{at}fuel-records/", {**fields, "conversion_paper": "", "evidence": "cylinder on the truck"})
    assert "The fuel record is on file." in page.text
    assert "LP-gas liquid HD-5 and gasoline" in page.text
    record = FuelRecord.objects.get(machine__name="Truck 2")
    assert (record.fuels, record.conversion_paper) == (["lpg_liquid:HD-5", "gasoline"], False)


def test_a_fuel_record_with_several_faults_names_each_and_saves_nothing(counter: Browser, desk: Desk) -> None:
    at = machine_page(desk, "Truck 2")
    page = counter.send(
        f"{at}fuel-records/", {"found": "coal", "second": "peat", "mode": "only_fuel", "found_on": "2026-04-01"}
    )
    assert page.status == 200
    for words in ("coal", "peat", "2026-04-01 is still to come"):
        assert words in page.text
    assert not FuelRecord.objects.filter(machine__name="Truck 2").exists()


CONFIRMED = {
    "confirmed_name": "A. Tarle", "confirmed_licence": "G-114", "confirmed_area": "north",
    "confirmed_expires": "2029-12-31", "confirmed_on": "2026-03-06",
}  # fmt: skip
FOUND = {"found": "lpg_vapour", "mode": "only_fuel", "found_on": "2026-03-09"}


def test_a_manager_records_that_a_licensed_person_confirmed_a_conversion_and_approves_by_it(
    manager: Browser, desk: Desk
) -> None:
    """Acceptance scenarios 16 and 22, all of it on pages."""
    at = machine_page(desk, "Genset South")
    answer = manager.send("/counter/", {"number": "4475", "machine": "Genset South"})
    wanted = {"reason": "runs a cold store", "until": "2026-04-09"}
    too_early = manager.send(f"{answer.address}approve/", wanted)
    assert "No licensed person has confirmed the equipment of Genset South" in too_early.text
    assert f"{at}#fuel-found" in too_early.links

    recorded = manager.send(f"{at}fuel-records/", {**FOUND, **CONFIRMED})
    assert "equipment confirmed by A. Tarle on 2026-03-06, licence G-114 ( north ) to 2029-12-31" in recorded.text
    approved = manager.send(f"{answer.address}approve/", wanted)
    assert (approved.address, "Approved by Mara Linden , to 2026-04-09" in approved.text) == (answer.address, True)
    assert "Use it only if" in approved.text


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ({"confirmed_area": ""}, "a confirmation is on record with all of it or not at all"),
        ({"confirmed_expires": "2026-03-05"}, "The licence had expired on the day of the confirmation"),
        ({"confirmed_on": "2026-03-10"}, "2026-03-10 is still to come"),
    ],
)
def test_a_confirmation_that_does_not_hold_is_told_beside_its_field_and_nothing_is_saved(
    manager: Browser, desk: Desk, typed: dict[str, str], words: str
) -> None:
    at, before = machine_page(desk, "Genset South"), FuelRecord.objects.count()
    fields = {**FOUND, **CONFIRMED, **typed}
    page = manager.send(f"{at}fuel-records/", fields)
    assert words in page.text
    assert {name: page.form("fuel-records/")[name] for name in fields} == fields
    assert FuelRecord.objects.count() == before


def test_the_counter_puts_no_confirmation_on_record(counter: Browser, desk: Desk) -> None:
    at, before = machine_page(desk, "Genset South"), FuelRecord.objects.count()
    assert not set(CONFIRMED) & set(counter.get(at).form("fuel-records/"))
    page = counter.send(f"{at}fuel-records/", {**FOUND, **CONFIRMED})
    assert "put on record by a service manager" in page.text
    assert FuelRecord.objects.count() == before


@pytest.mark.parametrize(
    ("form", "typed"),
    [
        ("readings", {"on": "2026-03-09", "value": "4533.5"}),
        ("fuel-records", {"found": "lpg_liquid", "mode": "only_fuel", "found_on": "2026-03-09"}),
        ("meters", {"code": "M2", "unit": "hours", "counts": "engine"}),
    ],
)
def test_a_form_of_a_machine_sent_twice_adds_once(
    counter: Browser, desk: Desk, form: str, typed: dict[str, str]
) -> None:
    at = machine_page(desk, "Truck 7")
    fields = {**counter.get(at).form(f"/{form}/"), **typed}
    known = MeterReading.objects.count() + FuelRecord.objects.count() + MachineMeter.objects.count()
    first, second = (counter.send(f"{at}{form}/", fields) for _ in range(2))
    assert "is on file." in first.text
    assert "is on file." in second.text
    assert MeterReading.objects.count() + FuelRecord.objects.count() + MachineMeter.objects.count() == known + 1


def test_a_serial_is_asked_for_only_where_it_is_not_known(counter: Browser, desk: Desk) -> None:
    at = machine_page(desk, "Truck 2")
    assert counter.send(f"{at}serial/", {"serial": "no digits"}).status == 200
    page = counter.send(f"{at}serial/", {"serial": "131090"})
    assert "The serial is on file." in page.text
    assert f"{at}serial/" not in page.forms()
    again = counter.send(f"{at}serial/", {"serial": "131091"})
    assert (again.status, Machine.objects.get(name="Truck 2").serial) == (200, "131090")


def test_a_machine_of_which_nothing_is_on_file_has_a_whole_page(counter: Browser, desk: Desk) -> None:
    at = f"/machines/{new_machine(desk, 'Bare 1')}/"
    page = counter.get(at)
    for words in (
        "Nobody has looked.",
        "No service is on file.",
        "No meter is on file.",
        "No kit was built for this machine yet.",
        "there is nothing to plot and no forecast",
    ):
        assert words in page.text
    assert [one for one in page.pictures if "hours.svg" in one] == []
    assert f"{at}readings/" not in page.forms()
    made = counter.send(f"{at}meters/", {"code": "M1", "unit": "hours", "counts": "engine", "start": "0"})
    assert f"{at}readings/" in made.forms()


def test_a_kit_is_built_once_however_often_its_form_is_sent(counter: Browser, desk: Desk) -> None:
    at = machine_page(desk, "Truck 7")
    fields = {**counter.get(at).form("/kits/"), "level": "500"}
    first, second = (counter.send(f"{at}kits/", fields) for _ in range(2))
    kit = Kit.objects.get()
    assert first.address == second.address == f"/kits/{kit.pk}/"


@pytest.mark.parametrize(
    ("more", "words"),
    [
        ({}, "Say what the kit is for"),
        ({"level": "500", "days": "30"}, "in one way only"),
        ({"level": "77"}, "has no level"),
        ({"days": "soon"}, "Type a whole number."),
        ({"hours": "100", "fitted_on": "2026-03-01"}, "before 2026-03-09"),
    ],
)
def test_a_kit_that_cannot_be_built_is_told_beside_the_field(
    counter: Browser, desk: Desk, more: dict[str, str], words: str
) -> None:
    at = machine_page(desk, "Truck 7")
    page = counter.send(f"{at}kits/", {"once": uuid4().hex, **more})
    assert page.status == 200
    assert words in page.text
    assert not Kit.objects.exists()


def test_pages_hold_no_script_style_or_handler_of_their_own(counter: Browser, desk: Desk) -> None:
    for address in ("/machines/", machine_page(desk, "Truck 7"), f"{machine_page(desk, 'Truck 7')}supply/", "/due/"):
        html = counter.get(address).html.lower()
        assert "<style" not in html
        assert "<script" not in html
        assert " style=" not in html
        assert " onclick=" not in html


def test_the_due_page_narrows_by_state_and_days(counter: Browser) -> None:
    """Truck 7 has nothing overdue on the day of the acceptance runs; Truck 13 was read past its oil's hours."""
    every, overdue = counter.get("/due/?within="), counter.get("/due/?state=overdue&within=30")
    for name in ("Truck 7", "Truck 13"):
        assert name in every.text
    assert "Truck 13" in overdue.text
    assert "Truck 7" not in overdue.text
    wrong = counter.get("/due/?state=overdue&within=many")
    assert (wrong.status, "Type a whole number." in wrong.text) == (200, True)
    assert wrong.form(method="get")["within"] == "many"


def test_the_due_page_begins_with_what_presses_where_one_page_holds_all(counter: Browser, desk: Desk) -> None:
    """A foreman asks what is due first (common practice, no source); pages that go on keep the order of names."""
    every = desk.get("/due/?page_size=100").json()["results"]
    overdue = {row["machine"]["name"] for row in every if any(task["state"] == "overdue" for task in row["tasks"])}
    assert overdue
    whole = counter.get("/due/?within=&page_size=100")
    names = re.findall(r'<th scope="row[a-z]*"[^>]*><a href="/machines/[^"]+"><bdi>([^<]+)</bdi>', whole.html)
    assert len(names) == len(every)
    assert set(names[: len(overdue)]) == overdue
    assert "what is most pressing first" in whole.text
    first = counter.get("/due/?within=&page_size=2")
    assert "in the order of their names" in first.text
    listed = re.findall(r'<th scope="row[a-z]*"[^>]*><a href="/machines/[^"]+"><bdi>([^<]+)</bdi>', first.html)
    assert listed == [row["machine"]["name"] for row in every[:2]]


def test_a_machine_without_a_record_takes_little_room_among_all_and_still_asks_for_everything(
    counter: Browser, desk: Desk
) -> None:
    spec = {"model": "VRD-H40", "spec": "S-118"}
    machine = desk.made("/machines/", {"name": "Aa bare", "spec": spec, "plate_fuels": ["lpg_liquid"]})["id"]
    page = counter.get("/due/?within=")
    row = page.html.split(f"/machines/{machine}/")[1].split("</tbody>")[0]
    assert row.count("<tr>") == 1, "the row of those that are folded, below the one it began in"
    assert "Cannot tell of" in row
    asked = re.findall(r"When was this last done, and at how many hours: ([^?]+)\?", row)
    assert len(asked) == len(set(asked)) > 3
    alone = counter.get(f"/machines/{machine}/").text
    for task in asked:
        assert task in alone
