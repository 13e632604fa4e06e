"""The counter's journeys by keyboard alone, with a scanner where one is used. Acceptance scenarios 4, 16 and 18."""

from __future__ import annotations

import pytest

from tests.browser.conftest import Desk

pytestmark = pytest.mark.once

EVERY_WIDTH = pytest.mark.parametrize("desk", ["counter", "tablet", "phone"], indirect=True)


@EVERY_WIDTH
def test_a_number_a_machine_and_enter_give_the_verdict_with_its_reason(desk: Desk) -> None:
    desk.sign_in("w.osk")

    desk.type("4470")
    desk.press("Alt+m")
    desk.type("Genset South")
    desk.send()

    assert desk.verdict == "Do not use"
    assert desk.reason == "Natural-gas plug; this engine burns LP-gas (found 2024-05-06)."
    assert (
        "Plate says natural gas, found on LP-gas vapour 2024-05-06"
        in desk.page.locator(".message-warning").inner_text()
    )
    assert desk.page.locator("#care").is_visible()
    assert _fits(desk)
    assert desk.faults_of_access() == []


def test_the_machine_is_remembered_so_a_scan_alone_asks_the_next_question(desk: Desk) -> None:
    desk.sign_in("w.osk")
    desk.type("4475")
    desk.press("Alt+m")
    desk.type("Genset South")
    desk.send()
    assert desk.verdict == "Use it only if"

    # The focus is on no field: a scanner types where it happens to be, and ends with Enter.
    desk.page.locator("#verdict").click()
    desk.type("4470")
    desk.send()

    assert desk.verdict == "Do not use"


def test_a_scan_is_read_with_its_prefix_and_a_wrong_check_digit_is_told(desk: Desk) -> None:
    desk.sign_in("w.osk")

    desk.type("]E09520000021468")
    desk.send()
    fault = desk.page.locator("#number-fault").inner_text()
    desk.type("]E09520000021467")
    desk.press("Alt+m")
    desk.page.locator("#machine").fill("")
    desk.send()

    assert "check digit should be 7" in fault
    assert "VRD 0021-460" in desk.page.locator("section[aria-labelledby=use]").inner_text()


def test_what_is_missing_is_answered_on_the_spot_and_the_verdict_follows(desk: Desk) -> None:
    desk.sign_in("w.osk")
    desk.type("4410-12")
    desk.press("Alt+m")
    desk.type("Truck 2")
    desk.send()
    asked = desk.page.locator("form[action$='/told/'] legend").all_inner_texts()
    verdict = desk.verdict

    _tick(desk, "LP-gas liquid")
    _tick(desk, "the only fuel it can burn now")
    desk.press("Alt+a")
    desk.page.wait_for_load_state()
    desk.page.locator("#verdict").wait_for()

    assert verdict == "Cannot tell"
    assert asked == ["What does the engine burn today: still gasoline, as the plate says? Look at the engine."]
    assert desk.verdict == "Use it only if"
    assert "plate says gasoline" in desk.page.locator(".message-warning").inner_text().lower()
    assert desk.page.get_by_text("serial not known").is_visible()


def test_of_several_that_answer_one_is_chosen_with_the_arrow_keys(desk: Desk) -> None:
    desk.sign_in("w.osk")
    desk.type("4410")
    desk.press("Alt+m")
    desk.type("Truck 7")
    desk.send()
    listed = desk.page.locator(".picks button strong").all_inner_texts()

    desk.press("Alt+n", "ArrowDown")
    desk.press(*["ArrowDown"] * listed.index("VRD 4410-12"))
    desk.send()

    assert desk.verdict == "Use it"
    assert "VRD 4410-12" in desk.page.locator("section[aria-labelledby=use]").inner_text()


def test_a_part_that_is_in_no_catalogue_is_described_and_is_never_a_plain_yes(desk: Desk) -> None:
    desk.sign_in("w.osk")
    desk.type("zz-nothing-9")
    desk.press("Alt+m")
    desk.type("Truck 7")
    desk.send()
    desk.page.get_by_role("link", name="Describe the part instead").focus()
    desk.send()
    desk.page.locator("#category").select_option("spark_plug")
    desk.press("Tab")
    desk.send()
    kept = desk.page.locator("#number_text").input_value()

    desk.type("unknown hand")
    desk.send()

    assert kept == "zz-nothing-9"
    assert desk.verdict in ("Cannot tell", "Do not use")
    assert desk.faults_of_access() == []


def test_an_approval_is_asked_for_at_the_counter_and_declined_by_the_manager(desk: Desk) -> None:
    desk.sign_in("w.osk")
    desk.type("4475")
    desk.press("Alt+m")
    desk.type("Genset South")
    desk.send()
    desk.page.locator("#note").focus()
    desk.type("the set has to run tonight")
    desk.send()
    waits = desk.page.get_by_text("Nobody has answered yet.").is_visible()
    address = desk.page.url
    desk.page.get_by_role("button", name="Sign out").focus()
    desk.send()

    desk.sign_in("r.tarnick")
    desk.open("/approvals/")
    listed = desk.page.locator("table").inner_text()
    desk.page.goto(address)
    carried = desk.page.locator("#reason").input_value()
    desk.page.locator("#why").focus()
    desk.type("no paper of the conversion")
    desk.send()

    assert waits
    assert "the set has to run tonight" in listed
    assert carried == "the set has to run tonight"
    assert desk.page.get_by_text("no paper of the conversion").is_visible()


def test_without_javascript_the_answer_is_the_same(desk: Desk) -> None:
    desk.page.context.route("**/*.js", lambda route: route.abort())
    desk.sign_in("w.osk")
    desk.errors.clear()  # the browser says that the script did not come

    desk.type("4470")
    desk.press("Tab")
    desk.type("Genset South")
    desk.send()

    desk.errors.clear()
    assert desk.verdict == "Do not use"


def _tick(desk: Desk, words: str) -> None:
    """Tab to the field of these words, and press the bar."""
    field = desk.page.get_by_label(words, exact=False).first
    field.focus()
    desk.press("Space")
    assert field.is_checked()


def _fits(desk: Desk) -> bool:
    """Nothing is wider than the window."""
    wide: bool = desk.page.evaluate("document.documentElement.scrollWidth <= document.documentElement.clientWidth")
    return wide
