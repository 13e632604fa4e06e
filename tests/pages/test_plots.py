"""Plots: the same bytes for the same data, a tag over what is drawn, and nothing drawn that is not known."""

import pytest

from catalog.models import SupplyCheck
from kits.models import MeterReading
from tests.acceptance.service_desk import new_machine
from tests.api.approving import machine_named
from tests.api.world import Desk
from tests.pages.browser import Browser

pytestmark = [pytest.mark.db, pytest.mark.usefixtures("clock")]
AHEAD = ("earliest to latest", "likely")


def hours_at(desk: Desk, name: str) -> str:
    return f"/machines/{machine_named(desk, name)}/hours.svg"


def test_the_same_data_gives_the_same_bytes_and_other_data_others(counter: Browser, desk: Desk) -> None:
    at = hours_at(desk, "Truck 7")
    first, second, dark = counter.raw(at), counter.raw(at), counter.raw(f"{at}?ground=dark")
    assert first.headers["Content-Type"] == "image/svg+xml"
    assert first.content == second.content != dark.content
    counter.send(f"/machines/{machine_named(desk, 'Truck 7')}/readings/", {"on": "2026-03-09", "value": "4530"})
    moved = counter.raw(at)
    assert (moved.content, moved.headers["ETag"]) != (first.content, first.headers["ETag"])


def test_a_plot_that_the_asker_has_is_not_sent_again(counter: Browser, desk: Desk) -> None:
    at = hours_at(desk, "Truck 7")
    tag = counter.raw(at).headers["ETag"]
    again, narrow = counter.raw(at, If_None_Match=tag), counter.raw(f"{at}?shape=narrow", If_None_Match=tag)
    assert (again.status_code, again.content, narrow.status_code) == (304, b"", 200)
    assert again.headers["Cache-Control"] == "private, no-cache"


def test_a_ground_that_there_is_not_is_refused(counter: Browser, desk: Desk) -> None:
    assert counter.get(f"{hours_at(desk, 'Truck 7')}?ground=red").status == 400


def test_readings_and_the_range_ahead_are_drawn(counter: Browser, desk: Desk) -> None:
    """Truck 7 has five readings, the latest of 4529 h; its next limit is 4560 h."""
    drawn = counter.raw(hours_at(desk, "Truck 7")).content.decode()
    for words in ("read off the meter", *AHEAD, "today"):
        assert words in drawn
    page = counter.get(f"/machines/{machine_named(desk, 'Truck 7')}/")
    assert [one for one in page.pictures if "hours.svg" in one]
    assert "4560" in page.text.split("The same numbers as a table")[1]


def test_no_forecast_is_drawn_where_nothing_tells_how_the_engine_is_used(counter: Browser, desk: Desk) -> None:
    machine = new_machine(desk, "Read once")
    desk.made(f"/machines/{machine}/meters/", {"code": "M1", "unit": "hours", "counts": "engine", "start": "0"})
    desk.made(f"/machines/{machine}/readings/", {"value": "120", "on": "2026-03-02"})
    drawn = counter.raw(f"/machines/{machine}/hours.svg").content.decode()
    assert [words for words in AHEAD if words in drawn] == []
    assert "There is no forecast" in counter.get(f"/machines/{machine}/").text


def test_hours_that_are_unknown_are_not_plotted(counter: Browser, desk: Desk) -> None:
    """Nobody wrote down what Genset South's meter showed when it was fitted, so its lifetime hours are unknown."""
    assert MeterReading.objects.filter(meter__machine__name="Genset South").exists()
    assert counter.raw(hours_at(desk, "Genset South")).status_code == 404
    page = counter.get(f"/machines/{machine_named(desk, 'Genset South')}/")
    assert [one for one in page.pictures if "hours.svg" in one] == []
    assert "What did meter M1 show when it was fitted?" in page.text


def supply_at(desk: Desk, name: str) -> str:
    return f"/machines/{machine_named(desk, name)}/supply/"


def test_the_supply_line_is_drawn_in_order_with_its_verdict_and_pressures(counter: Browser, desk: Desk) -> None:
    page = counter.get(supply_at(desk, "Truck 7"))
    assert page.text.index("Do not use") < page.text.index("Below 11 degC the container (VRD 9033)")
    stages = page.text.split("The line of VRD-H40 S-131")[1]
    order = [stages.index(name) for name in ("VRD 9033", "VRD 6600", "VRD 6300", "VRD 6210-30")]
    assert order == sorted(order)
    table = page.text.split("The same numbers as a table")[1]
    assert "psi gauge" in table
    # 10.58 psi absolute at -30 degC, as the API's plot has it, less 14.70 of the air.
    assert "container liquid -4.1" in table


def test_the_pressures_plot_is_the_same_for_the_same_air_alone(counter: Browser, desk: Desk) -> None:
    at = f"{supply_at(desk, 'Truck 7')}pressure.svg"
    first, second, warm = counter.raw(at), counter.raw(at), counter.raw(f"{at}?coldest=15&hottest=40")
    assert first.content == second.content != warm.content
    for words in ("air at -30 degrees C", "air at 40 degrees C", "psi gauge", "vaporiser"):
        assert words in first.content.decode()


def test_gauge_pressures_count_from_the_air_at_the_altitude(counter: Browser, desk: Desk) -> None:
    """At 1,500 m the air is 84.56 kPa (ISO 2533), so the container at -30 degC is 10.58 - 12.26 psi gauge."""
    page = counter.get(f"{supply_at(desk, 'Truck 7')}?altitude=1500")
    assert "container liquid -1.7" in page.text.split("The same numbers as a table")[1]


def test_a_line_of_liquid_fuel_and_a_machine_without_a_line_say_why_nothing_is_drawn(
    counter: Browser, desk: Desk
) -> None:
    diesel = counter.get(supply_at(desk, "Pump 3"))
    assert "a line of liquid fuel is weighed stage by stage" in diesel.text
    assert counter.raw(f"{supply_at(desk, 'Pump 3')}pressure.svg").status_code == 404
    bare = desk.made("/machines/", {"name": "Bare 2"})["id"]
    page = counter.get(f"/machines/{bare}/supply/")
    assert (page.status, "Which model and specification number" in page.text) == (200, True)
    assert counter.raw(f"/machines/{bare}/supply/pressure.svg").status_code == 404


def test_what_is_wrong_with_a_question_about_a_line_stands_beside_its_field(counter: Browser, desk: Desk) -> None:
    page = counter.get(f"{supply_at(desk, 'Truck 7')}?coldest=cold&hottest=40&fill=150")
    assert page.status == 200
    for words in ("Type a number, with a dot before any tenths.", "At most 100 is expected."):
        assert words in page.text
    assert page.form(method="get")["coldest"] == "cold"


def test_looking_at_a_line_records_nothing(counter: Browser, desk: Desk) -> None:
    counter.get(supply_at(desk, "Truck 7"))
    assert not SupplyCheck.objects.exists()
