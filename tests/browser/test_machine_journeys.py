"""From a machine to its kit and its supply line, at every width: nothing sticks out, nobody is kept out, plots load."""

from __future__ import annotations

import pytest
from playwright.sync_api import Locator

from tests.browser.conftest import Desk

pytestmark = pytest.mark.once


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
    assert desk.page.evaluate("document.documentElement.scrollWidth <= window.innerWidth")
    assert desk.faults_of_access() == []


def _drawn(desk: Desk, name: str) -> bool:
    """Whether the plot of that name has come and is a picture."""
    found: bool = desk.page.locator("figure.plot img").evaluate(
        "(image, name) => image.currentSrc.includes(name) && image.complete && image.naturalWidth > 0", name
    )
    return found
