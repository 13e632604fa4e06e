"""The same kit and an aerosol cleaner: a package and a line of its own, and its safety sheet when it is owed.

Own box and own line for dangerous goods: common practice, no source. The sheet with a customer's first shipment and
with the first after each revision: 29 CFR 1910.1200(g) as read in OSHA letters of 1988-12-05 and 1994-09-28.
"""

from typing import Any

import pytest

from catalog import loading
from catalog.models import Maker, Part
from kits.models import PartHandling
from service.operations.models import Dealer
from tests.api.kit_cast import built, done, full_shelf, handle, shelve
from tests.api.world import Desk
from tests.desks import Clock

pytestmark = pytest.mark.db
CLEANER = {"part": {"maker": "VRD", "number": "CL-1"}, "quantity": 1}


@pytest.fixture(autouse=True)
def cleaner(tallis_bridge: Dealer, clock: Clock) -> None:
    Part.objects.create(maker=Maker.objects.get(code="VRD"), number="CL-1", name="cleaner", category="aerosol",
                        supplied_as="piece")  # fmt: skip
    loading.forget()  # what is remembered of parts goes by the catalogue's version, which this did not move
    handle(tallis_bridge, "CL-1", transport="dangerous", un_number="UN1950", sheet_revision="2025-11")
    handle(tallis_bridge, "9105", transport="not_dangerous")
    full_shelf(tallis_bridge, pieces=20, oil=5)
    shelve(tallis_bridge, "CL-1", 5)


def shipped(desk: Desk) -> dict[str, Any]:
    kit = built(desk, extras=[CLEANER])
    assert done(desk, kit, "reserve")["short"] == []
    return done(desk, kit, "fulfil")


def sheets(kit: dict[str, Any]) -> list[tuple[str, str]]:
    return [(sheet["part"]["number"], sheet["revision"]) for sheet in kit["sheets"]]


def test_scenario_25_the_aerosol_is_a_separate_package_and_line_with_its_un_number(desk: Desk) -> None:
    kit = built(desk, extras=[CLEANER])
    plain, aerosol = kit["packages"]
    assert aerosol == {"un_number": "UN1950", "dangerous": True, "lines": [CLEANER]}
    assert "CL-1" not in {line["part"]["number"] for line in plain["lines"]}
    assert (plain["un_number"], kit["questions"], kit["held_back"]) == (None, [], [])
    line = kit["lines"][-1]
    assert (line["part"]["number"], line["state"]) == ("CL-1", "consumable")
    assert (line["position"], line["check"]) == (None, None)


def test_scenario_25_the_sheet_goes_with_the_first_shipment_and_the_first_after_each_revision(desk: Desk) -> None:
    assert sheets(shipped(desk)) == [("CL-1", "2025-11")]
    assert sheets(shipped(desk)) == []
    PartHandling.objects.filter(part__number="CL-1").update(sheet_revision="2026-02")
    assert sheets(shipped(desk)) == [("CL-1", "2026-02")]
    assert sheets(shipped(desk)) == []


def test_scenario_25_a_kit_that_is_not_handed_out_takes_no_sheet_along(desk: Desk) -> None:
    kit = built(desk, extras=[CLEANER])
    done(desk, kit, "cancel")
    assert sheets(shipped(desk)) == [("CL-1", "2025-11")]
