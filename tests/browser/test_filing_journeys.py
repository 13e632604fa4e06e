"""An engine put on file as a machine, and a colleague among the people: by keyboard alone, at every width."""

from __future__ import annotations

import pytest

from tests.browser.conftest import Desk

pytestmark = pytest.mark.once

EVERY_WIDTH = pytest.mark.parametrize("desk", ["counter", "tablet", "phone"], indirect=True)
OWN_CHOICE = "quiet harbour 77"


def own_name(desk: Desk, name: str) -> str:
    """One for each width, since all journeys share one demo."""
    assert desk.page.viewport_size is not None
    return f"{name} {desk.page.viewport_size['width']}"


@EVERY_WIDTH
def test_an_engine_asked_about_by_its_plate_is_kept_as_a_machine_with_what_was_told(desk: Desk) -> None:
    name = own_name(desk, "Hoist")
    desk.sign_in("w.osk")
    desk.type("4410-12")
    desk.page.get_by_label("Machine: name or serial").fill("")
    desk.tab_to(desk.page.get_by_text("An engine that is not on file"))
    desk.press("Enter", "Tab")
    desk.type("VRD-H40")
    desk.press("Tab")
    desk.type("S-131")
    desk.send()
    at_first = desk.verdict
    desk.tab_to(desk.page.get_by_label("LP-gas liquid", exact=True))
    desk.press("Space")
    desk.tab_to(desk.page.locator("input[name=f0_mode]").first)
    desk.press("Space", "Alt+a")
    desk.page.get_by_role("heading", name="Use it", exact=True).wait_for()

    desk.tab_to(desk.page.get_by_role("link", name="Keep this engine as a machine"))
    desk.send()
    told = desk.page.locator("section[aria-labelledby=told-h]").inner_text()
    desk.is_in_order()
    desk.tab_to(desk.page.get_by_role("button", name="Put it on file"))
    desk.send()
    fault = desk.page.locator("#machine-name-told .fault").inner_text()
    assert desk.page.get_by_label("Name of the machine").evaluate("field => field === document.activeElement")
    desk.is_in_order()
    desk.type(name)
    desk.tab_to(desk.page.get_by_label("Fuel on the plate", exact=True))
    desk.type("gasoline")
    desk.tab_to(desk.page.get_by_role("button", name="Put it on file"))
    desk.send()
    said = desk.page.get_by_role("status").inner_text()
    main = desk.page.locator("main").inner_text()
    desk.is_in_order()

    desk.tab_to(desk.page.get_by_role("link", name="Change what the plate says"))
    desk.send()
    desk.tab_to(desk.page.get_by_label("Serial"))
    desk.type("131300")
    desk.is_in_order()
    desk.send()

    assert at_first == "Cannot tell"
    assert "LP-gas liquid" in told
    assert fault == "Fill this in."
    assert "on file" in said
    for words in (name, "VRD-H40 S-131", "LP-gas liquid"):
        assert words in main
    assert "131300" in desk.page.locator("section[aria-labelledby=plate-h]").inner_text()


@EVERY_WIDTH
def test_an_owner_adds_a_colleague_who_signs_in_and_takes_a_password_of_their_own(desk: Desk) -> None:
    name = own_name(desk, "Kim Dahl")
    username = name.lower().replace(" ", ".")
    desk.sign_in("s.ennick")
    desk.tab_to(desk.page.get_by_role("link", name="People", exact=True))
    desk.send()
    desk.is_in_order()
    desk.tab_to(desk.page.get_by_role("link", name="Add a person"))
    desk.send()
    desk.tab_to(desk.page.get_by_label("Name", exact=True))
    desk.type(name)
    desk.tab_to(desk.page.get_by_label("User name"))
    desk.type(username)
    desk.send()
    fault = desk.page.get_by_text("Tick at least one role.")
    assert fault.is_visible()
    desk.is_in_order()
    assert desk.page.get_by_label("Counter", exact=True).evaluate("box => box === document.activeElement")
    desk.press("Space")
    password = desk.page.get_by_label("First password").input_value()
    desk.tab_to(desk.page.get_by_role("button", name="Add the person"))
    desk.send()
    said = desk.page.get_by_role("status").inner_text()
    desk.is_in_order()
    assert password not in desk.page.content()

    desk.page.get_by_role("button", name="Sign out").press("Enter")
    desk.page.locator("#id_username:focus").wait_for()
    desk.sign_in(username, password)
    assert desk.page.get_by_role("link", name="People", exact=True).count() == 0
    assert desk.page.url.endswith("/password/")
    assert "Choose one of your own first" in desk.page.locator("main").inner_text()
    desk.is_in_order()
    for text in (password, OWN_CHOICE, OWN_CHOICE):
        desk.type(text)
        desk.press("Tab")
    desk.send()

    assert f"signs in as {username}" in said
    assert "Your password is changed." in desk.page.get_by_role("status").inner_text()
