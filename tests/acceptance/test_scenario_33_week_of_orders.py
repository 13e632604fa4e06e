"""What to order for the week of 13 April, by when, and what is late: the worked example of the trade notes."""

from typing import Any

import pytest

from service.operations.models import Dealer
from tests.api.world import Desk
from tests.april_week import Week, april_week
from tests.desks import Clock

pytestmark = pytest.mark.db
Document = dict[str, Any]


@pytest.fixture
def week(desk: Desk, tallis_bridge: Dealer, clock: Clock) -> Week:
    return april_week(desk, tallis_bridge)


def planned(desk: Desk, week: Week, *without: str, **more: Any) -> Document:
    return desk.made("/order-plans/", {**week.asked(*without), "seconds": 0, **more})


def bought(plan: Document) -> dict[str, tuple[int, str | None]]:
    """Pieces and last safe day by number; containers by their size."""
    found = {}
    for one in plan["purchases"]:
        name = one["part"]["number"] + (f" {one['content']} L" if one["content"] else "")
        found[name] = (one["pieces"], one["order_by"] and one["order_by"]["day"])
    return found


def test_scenario_33_whole_packs_are_ordered_by_the_last_safe_day(desk: Desk, week: Week) -> None:
    plan = planned(desk, week)
    assert {kit["shelf"] for kit in plan["kits"]} == {"2026-04-10"}
    assert bought(plan) == {
        "0021-460": (6, "2026-04-02"),
        "4410-12": (4, "2026-04-02"),
        "6611": (4, "2026-03-30"),
        "1102": (1, "2026-03-25"),
        "3307": (4, None),
        "6612": (4, "2026-04-02"),
        "1001": (6, "2026-04-02"),
        "9105 5 L": (2, "2026-04-02"),
        "9105 20 L": (1, "2026-04-02"),
    }
    # The air elements on the shelf are enough.
    assert "2051" not in bought(plan)
    assert plan["missing"] == []


def test_scenario_33_the_valve_is_late_and_nothing_takes_its_place_by_itself(desk: Desk, week: Week) -> None:
    late = planned(desk, week)["late"]
    assert {(line["part"]["number"], line["arrives"], line["promised_from"]) for line in late} == {
        ("3307", "2026-04-22", "2026-04-20")
    }
    machines = [line["machine"] for entry in late for line in entry["lines"]]
    assert sorted(machines) == ["Lift truck 3", "Lift truck 4", "Resurfacer A", "Resurfacer B"]
    assert {tuple(way["way"] for way in entry["ways"]) for entry in late} == {("move_job", "do_the_rest")}


@pytest.mark.parametrize("setting", ["first", "shown"])
def test_scenario_33_old_filters_are_decided_engine_by_engine(desk: Desk, week: Week, setting: str) -> None:
    plan = planned(desk, week, old_stock=setting)
    (old,) = plan["old_stock"]
    assert (old["part"]["number"], old["instead_of"]["number"], old["free"]) == ("0021-450", "0021-460", 4)
    assert old["allowed_on"] == ["Resurfacer A", "Resurfacer B"]
    assert old["not_allowed_on"] == ["Lift truck 1", "Lift truck 2", "Lift truck 3", "Lift truck 4"]
    assert old["without"] == {"need": 6, "short": 3, "order": 6}
    assert old["with"] == {"need": 4, "short": 1, "order": 6}
    assert old["taken"] == (2 if setting == "first" else 0)
    served = {line["machine"] for one in plan["servings"] if one["old_stock"] for line in one["lines"]}
    assert served == ({"Resurfacer A", "Resurfacer B"} if setting == "first" else set())


def test_scenario_33_oil_by_job_and_pooled(desk: Desk, week: Week) -> None:
    (oil,) = planned(desk, week)["fluids"]
    by_job = {job["job"]: (job["volume"], job["cost"]["amount"]) for job in oil["by_job"]}
    assert by_job == {"J2": ("8.6", "69.00"), "J4": ("17.2", "118.00")}
    assert (oil["apart"]["amount"], oil["pooled"]["cost"]["amount"], oil["saves"]["amount"]) == (
        "187.00",
        "161.40",
        "25.60",
    )
    assert [(one["content"], one["count"]) for one in oil["pooled"]["containers"]] == [("20", 1), ("5", 1), ("1", 1)]
    assert oil["pooled"]["left_over"] == "0.2"
    assert "decanted" in oil["words"]
    pooled = bought(planned(desk, week, fluids="pooled"))
    assert {name: count for name, (count, _) in pooled.items() if name.startswith("9105")} == {
        "9105 20 L": 1, "9105 5 L": 1, "9105 1 L": 1,
    }  # fmt: skip


def test_scenario_33_plugs_fall_below_their_reorder_point(desk: Desk, week: Week) -> None:
    (plugs,) = planned(desk, week)["reorder"]
    assert (plugs["part"]["number"], plugs["left_after"], plugs["reorder_point"]) == ("4410-12", 0, 8)
    assert (plugs["pieces"], plugs["packs"]) == (8, 2)


def test_scenario_33_a_truck_that_is_sold_leaves_one_filter_more(desk: Desk, week: Week) -> None:
    def filters(plan: Document) -> tuple[int, int, int]:
        (entry,) = [one for one in plan["purchases"] if one["part"]["number"] == "0021-460"]
        (old,) = plan["old_stock"]
        return old["without"]["need"], entry["pieces"], entry["spare"]

    assert filters(planned(desk, week, old_stock="shown")) == (6, 6, 3)
    assert filters(planned(desk, week, "Lift truck 4", old_stock="shown")) == (5, 6, 4)
