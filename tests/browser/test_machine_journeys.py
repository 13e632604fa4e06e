"""From a machine to its kit and its supply line, at every width: nothing sticks out, nobody is kept out, plots load."""

from __future__ import annotations

import pytest
from playwright.sync_api import Locator

from tests.browser.conftest import Desk

pytestmark = pytest.mark.once

NEXT_READING = "3702.5"


@pytest.mark.parametrize("desk", ["counter", "tablet", "phone"], indirect=True)
def test_a_machine_is_found_its_kit_built_and_its_line_looked_at(desk: Desk) -> None:
    desk.sign_in("w.osk")
    for place in ("Due", "Kits", "Machines"):
        _follow(desk, desk.page.get_by_role("link", name=place, exact=True))
        _is_in_order(desk)

    desk.page.get_by_label("Find by name").fill("Truck 7")
    desk.send()
    _follow(desk, desk.page.get_by_role("link", name="Truck 7"))
    _is_in_order(desk)
    assert _drawn(desk, "hours.svg")

    _follow(desk, desk.page.get_by_role("link", name="Supply line"))
    _is_in_order(desk)
    assert _drawn(desk, "pressure.svg")
    desk.page.go_back()

    desk.page.get_by_label("For a level of the plan").select_option("500")
    _follow(desk, desk.page.get_by_role("button", name="Build the kit"))
    assert "lines settled" in desk.page.locator("main").inner_text()
    _is_in_order(desk)


def _follow(desk: Desk, way: Locator) -> None:
    with desk.page.expect_navigation():
        way.click()


def _is_in_order(desk: Desk) -> None:
    desk.is_in_order()


def _drawn(desk: Desk, name: str) -> bool:
    """Whether the plot of that name has come and is a picture."""
    found: bool = desk.page.locator("figure.plot img").evaluate(
        "(image, name) => image.currentSrc.includes(name) && image.complete && image.naturalWidth > 0", name
    )
    return found


def test_a_reading_is_added_by_keyboard_and_the_list_of_what_is_due_hears_of_it(desk: Desk) -> None:
    """Truck 13 of the demo, whose oil is due by hours."""
    desk.sign_in("w.osk")
    desk.open("/machines/?q=Truck+13")
    _to(desk, desk.page.get_by_role("link", name="Truck 13", exact=True))
    desk.send()
    _to(desk, desk.page.get_by_label("What the meter shows"))
    desk.type("many")
    desk.send()
    fault = desk.page.locator("#reading-value-told").inner_text()
    assert desk.page.get_by_label("What the meter shows").evaluate("field => field === document.activeElement")
    desk.press("Control+a")
    desk.type(NEXT_READING)
    desk.send()
    said = desk.page.get_by_role("status").inner_text()
    newest = desk.page.get_by_role("region", name="Newest readings").inner_text()
    counted = desk.page.locator("section[aria-labelledby=due-h]").inner_text()

    _to(desk, desk.page.get_by_role("link", name="Due", exact=True))
    desk.send()
    _to(desk, desk.page.get_by_label("State"))
    desk.press("o", "v")
    _to(desk, desk.page.get_by_role("button", name="Show"))
    desk.send()

    assert "digits" in fault
    assert said == "The reading is on file."
    assert NEXT_READING in newest
    assert f"last reading {NEXT_READING}" in counted
    assert "Truck 13" in desk.page.get_by_role("region", name="Machines and tasks").inner_text()


def test_an_open_line_of_a_kit_is_settled_by_keyboard_then_it_is_reserved_and_its_papers_printed(desk: Desk) -> None:
    """A truck whose plate says gasoline, at which nobody has looked; plug 4410-07 is specified for gasoline alone."""
    told: list[str] = []
    desk.sign_in("w.osk")
    desk.open(_new_truck(desk, "Truck 21"))
    _to(desk, desk.page.get_by_label("For a level of the plan"))
    desk.press("5")
    _to(desk, desk.page.get_by_role("button", name="Build the kit"))
    desk.send()
    open_at_first = desk.page.locator("tr", has_text="spark plug").inner_text()

    _to(desk, desk.page.get_by_role("link", name="the machine").first)
    desk.send()
    _to(desk, desk.page.get_by_text("Add what was found"))
    desk.press("Enter")
    _to(desk, desk.page.get_by_label("Fuel found"))
    desk.type("gasoline")
    _to(desk, desk.page.get_by_label("Can it burn anything else?"))
    desk.type("the only")
    _to(desk, desk.page.get_by_role("button", name="Add the record"))
    desk.send()
    _is_in_order(desk)

    _to(desk, desk.page.get_by_role("link", name="Kit ", exact=False).last)
    desk.send()
    row = desk.page.locator("tr", has_text="spark plug")
    _to(desk, row.locator("summary"))
    desk.press("Enter")
    _to(desk, row.get_by_label("Number of another part"))
    desk.type("4410-07")
    desk.send()
    settled = desk.page.get_by_role("status").inner_text()
    _is_in_order(desk)
    for step in ("Reserve what is free", "Accept the kit as it is now", "Reserve what is free"):
        _to(desk, desk.page.get_by_role("button", name=step))
        desk.send()
        _is_in_order(desk)
        told.append(desk.page.get_by_role("status").inner_text())

    assert "A fact is missing" in open_at_first
    assert "takes VRD 4410-07" in settled
    assert "a line would be decided otherwise today" in told[0]
    assert told[-1].startswith("Reserved")
    for paper in ("Pick list (PDF)", "Box label (PDF)"):
        assert _answers_as_pdf(desk, desk.page.get_by_role("link", name=paper))


def test_the_slip_of_an_answer_is_a_link_away(desk: Desk) -> None:
    desk.sign_in("w.osk")
    desk.type("4410-12")
    desk.press("Alt+m")
    desk.type("Truck 7")
    desk.send()
    assert _answers_as_pdf(desk, desk.page.get_by_role("link", name="Slip (PDF)"))


def _new_truck(desk: Desk, name: str) -> str:
    """The page of a machine that comes in as a dealer's own system sends it."""
    token = next(one["value"] for one in desk.page.context.cookies() if one["name"] == "csrftoken")
    truck = {"name": name, "spec": {"model": "VRD-H40", "spec": "S-131"}, "plate_fuels": ["gasoline"]}
    made = desk.page.request.post(
        f"{desk.served.address}/api/v1/machines/",
        data={**truck, "serial": "131300", "place_of_use": "indoor"},
        headers={"X-CSRFToken": token, "Referer": desk.page.url},
    )
    assert made.status == 201, made.text()
    return f"/machines/{made.json()['id']}/"


def _to(desk: Desk, field: Locator) -> None:
    desk.tab_to(field)


def _answers_as_pdf(desk: Desk, paper: Locator) -> bool:
    _to(desk, paper)
    answer = desk.page.request.get(f"{desk.served.address}{paper.get_attribute('href')}")
    return answer.status == 200 and answer.headers["content-type"] == "application/pdf"
