"""The lines of a kit: each need once, multiplied by what the engine has, with the tasks it comes from.

Contents of the levels are those of the acceptance fixture (scenario 23); the rest is common practice, no source.
"""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kits.domain.kit_lines import (
    Choice,
    Contents,
    EngineCounts,
    Extra,
    Joint,
    LeftOut,
    Line,
    PartNeed,
    Per,
    Task,
    Unit,
    contents,
)
from kits.domain.packing import Nature
from service.errors import Invalid
from tests.domain.kit_plans import (
    DRAIN,
    FOUR,
    LEVEL_250,
    LEVEL_500,
    LITRE,
    OIL_250,
    PLUGS_500,
    engine,
    not_looked_at,
    only,
    where,
)

pytestmark = pytest.mark.domain

KIT_500 = {
    ("spark_plug", "4410-12"): 4, ("oil_filter", "0021-450"): 1, ("air_element", "2051"): 1,
    ("lock_off_filter", "6611"): 1, ("lock_off_ring", "6612"): 1, ("pcv", "3307"): 1, ("drain_washer", "9120"): 1,
    ("oil", "OIL"): 43 * LITRE // 10,
}  # fmt: skip


def amounts(found: Contents) -> dict[tuple[str | None, str], int | None]:
    return {(line.position, line.part[1] if line.part else ""): line.quantity for line in found.lines}


def line_at(found: Contents, position: str) -> Line:
    return next(line for line in found.lines if line.position == position)


def test_the_500_hour_kit_has_every_line_once() -> None:
    """Scenario 23: the 250 h lines are not doubled."""
    found = contents((*LEVEL_250, *LEVEL_500), engine())
    assert amounts(found) == KIT_500
    assert len(found.lines) == len(KIT_500)
    assert found.left_out == ()
    assert line_at(found, "oil_filter").tasks == ("oil_250", "oil_500")
    assert line_at(found, "drain_washer").tasks == ("oil_250", "oil_500")
    assert line_at(found, "oil").unit is Unit.MICROLITRE


def test_the_part_follows_the_serial_and_the_fuel_of_the_engine() -> None:
    late = contents(LEVEL_500, engine(where("gasoline", serial=131077)))
    assert line_at(late, "oil_filter").part == ("VRD", "0021-460")
    assert line_at(late, "spark_plug").part == ("VRD", "4410-07")


def test_an_unknown_serial_or_fuel_leaves_the_line_without_a_part_and_asks() -> None:
    found = contents(LEVEL_500, engine(where("lpg_liquid", serial=None)))
    line = line_at(found, "oil_filter")
    assert (line.part, [fact.name for fact in line.missing]) == (None, ["serial (change at 120000)"])
    asked = line_at(contents(LEVEL_500, engine(not_looked_at())), "spark_plug")
    assert asked.part is None
    assert asked.missing


def test_an_engine_none_of_the_plans_parts_is_for_and_one_two_are_for_are_asked_about() -> None:
    none = line_at(contents((PLUGS_500,), engine(where("diesel"))), "spark_plug")
    assert (none.part, none.missing[0].name) == (None, "part at spark_plug")
    both = line_at(contents((PLUGS_500,), engine(where("gasoline", "lpg_liquid"))), "spark_plug")
    assert both.part is None
    assert "VRD 4410-07 and VRD 4410-12" in both.missing[0].question


def test_tasks_that_name_different_parts_for_one_position_are_asked_about() -> None:
    """Plug types are never mixed in one engine (a gas-engine maker's plug note)."""
    other = Task("other", (PartNeed("spark_plug", only("4410-99"), 1, Per.CYLINDER),))
    found = contents((PLUGS_500, other), engine())
    assert {line.part for line in found.lines} == {("VRD", "4410-12"), ("VRD", "4410-99")}
    assert all("Which part does spark_plug take?" in line.missing[0].question for line in found.lines)


@pytest.mark.parametrize(("per", "times"), [(Per.MACHINE, 1), (Per.CYLINDER, 6), (Per.INJECTOR, 5), (Per.HEAD, 2)])
def test_a_quantity_is_multiplied_by_what_the_engine_has_or_its_number_asked_for(per: Per, times: int) -> None:
    task = Task("work", (PartNeed("place", only("1"), 2, per),))
    known = contents((task,), engine(counts=EngineCounts(6, 5, 2))).lines[0]
    assert (known.quantity, known.missing) == (2 * times, ())
    unknown = contents((task,), engine(counts=EngineCounts())).lines[0]
    if per is Per.MACHINE:
        assert unknown.quantity == known.quantity
    else:
        assert unknown.quantity is None
        assert [fact.question for fact in unknown.missing] == [f"How many {per}s does this engine have?"]


def test_a_quantity_that_is_not_recorded_is_asked_for_and_not_taken_as_one() -> None:
    line = contents((Task("work", (PartNeed("place", only("1"), None),)),), engine()).lines[0]
    assert (line.quantity, line.missing[0].name) == (None, "quantity at place")


def test_the_most_that_any_task_needs_at_a_place_is_enough_for_all() -> None:
    tasks = tuple(Task(f"t{count}", (PartNeed("clamp", only("1"), count),)) for count in (1, 3, 2))
    found = contents(tasks, engine())
    assert [(line.quantity, line.tasks) for line in found.lines] == [(3, ("t1", "t3", "t2"))]


def test_an_opened_joint_brings_its_one_time_bolts_washers_and_gaskets() -> None:
    cover = Joint(
        "valve_cover",
        (PartNeed("cover_gasket", only("G"), 1, Per.HEAD), PartNeed("cover_bolts", only("B"), 8, Per.HEAD)),
    )
    task = Task("valves", (), ("valve_cover", "plain_lid"))
    found = contents((task,), engine(counts=replace(FOUR, heads=2), joints=(cover, Joint("plain_lid", ()))))
    assert amounts(found) == {("cover_gasket", "G"): 2, ("cover_bolts", "B"): 16}


def test_a_joint_of_which_nothing_is_recorded_is_a_line_with_a_question() -> None:
    found = contents((Task("work", (), ("sump",)), Task("more", (), ("sump",))), engine())
    assert [(line.part, line.quantity, line.tasks) for line in found.lines] == [(None, None, ("work", "more"))]
    assert "joint sump" in found.lines[0].missing[0].question


def test_two_joints_that_name_one_place_are_asked_about() -> None:
    other = Joint("coolant_drain", DRAIN.goods)
    found = contents((Task("work", (), ("oil_drain", "coolant_drain")),), engine(joints=(DRAIN, other)))
    assert [line.quantity for line in found.lines] == [None]
    assert "coolant_drain and oil_drain" in found.lines[0].missing[0].question


@pytest.mark.parametrize(("places", "quantity"), [(2, 2), (3, 2), (1, None)])
def test_every_joint_opened_takes_its_own_where_the_specification_has_room_for_all(
    places: int, quantity: int | None
) -> None:
    """Each drained joint adds its washer (common practice, no source); one washer serves no two joints."""
    joints = (DRAIN, Joint("coolant_drain", DRAIN.goods))
    tasks = (Task("oil", (), ("oil_drain",)), Task("both", (), ("oil_drain", "coolant_drain")))
    on = engine(counts=replace(FOUR, places={"drain_washer": places}), joints=joints)
    assert [line.quantity for line in contents(tasks, on).lines] == [quantity]
    assert [line.quantity for line in contents(tasks[:1], on).lines] == [1]


@pytest.mark.parametrize("nature", [Nature.ANTI_SEIZE, Nature.STARTING_SPRAY, Nature.MEASURED_FIRST])
def test_what_no_kit_holds_by_default_is_left_out_with_the_reason(nature: Nature) -> None:
    task = Task("work", (PartNeed("place", (Choice(("VRD", "1"), nature=nature),)), *PLUGS_500.parts))
    found = contents((task,), engine())
    assert [line.position for line in found.lines] == ["spark_plug"]
    assert [(entry.position, entry.part, entry.tasks) for entry in found.left_out] == [
        ("place", ("VRD", "1"), ("work",))
    ]
    assert found.left_out[0].why


@pytest.mark.parametrize(("licensed", "lines", "asked"), [(True, 1, 0), (False, 0, 0), (None, 1, 1)])
def test_a_part_that_needs_a_licence_to_fit_asks_who_fits_it(licensed: bool | None, lines: int, asked: int) -> None:
    """Never in a kit for someone without the licence; not known is asked (common practice, no source)."""
    regulator = Choice(("TSK", "Z-90"), nature=Nature.LICENSED)
    task = Task("work", (PartNeed("regulator", (regulator,)),))
    extra = Extra(("TSK", "Z-90"), 1, "R. Tarnick", "regulator", Nature.LICENSED)
    for found in (contents((task,), engine(), licensed=licensed), contents((), engine(), (extra,), licensed=licensed)):
        assert (len(found.lines), len(found.left_out)) == (lines, 1 - lines)
        assert sum(len(line.missing) for line in found.lines) == asked


def test_what_a_person_adds_is_a_line_under_their_name() -> None:
    cleaner = Extra(("VRD", "9001"), 1, "R. Tarnick")
    paste = Extra(("VRD", "9003"), 1, "R. Tarnick", nature=Nature.ANTI_SEIZE)
    shim = Extra(("VRD", "9004"), 1, "R. Tarnick", "shim", Nature.MEASURED_FIRST)
    found = contents((), engine(), (cleaner, paste, shim, replace(shim, measured=True)))
    assert [(line.part, line.asked_by) for line in found.lines] == [
        (("VRD", "9001"), "R. Tarnick"), (("VRD", "9003"), "R. Tarnick"), (("VRD", "9004"), "R. Tarnick"),
    ]  # fmt: skip
    assert found.left_out == (LeftOut("shim", ("VRD", "9004"), "its size must be measured on the engine first"),)
    with pytest.raises(Invalid):
        contents((), engine(), (replace(cleaner, quantity=0),))


def test_a_part_of_an_engine_that_a_person_adds_is_asked_where_it_goes() -> None:
    filter_ = Extra(("VRD", "6611"), 1, "R. Tarnick", component=True)
    nowhere, placed = contents((), engine(), (filter_, replace(filter_, position="lock_off_filter"))).lines
    assert [fact.question for fact in nowhere.missing] == ["At which position of the engine does VRD 6611 go?"]
    assert placed.missing == ()


def test_one_position_in_pieces_and_by_volume_is_a_broken_plan() -> None:
    litres = Task("b", (PartNeed("oil", only("OIL"), LITRE, unit=Unit.MICROLITRE),))
    with pytest.raises(Invalid):
        contents((Task("a", (PartNeed("oil", only("OIL")),)), litres), engine())
    with pytest.raises(Invalid):
        contents((litres, replace(litres, opens=("oil_drain",))), engine())


NEEDS = st.builds(
    PartNeed,
    st.sampled_from(["a", "b", "c"]),
    st.sampled_from([only("1"), only("2"), (), (*only("1"), *only("2"))]),
    st.sampled_from([None, 1, 2]),
    st.sampled_from(Per),
)
TASKS = st.lists(
    st.builds(
        Task, st.sampled_from(["t1", "t2", "t3"]), st.lists(NEEDS, max_size=3).map(tuple),
        st.sampled_from([(), ("oil_drain",), ("unknown",)]),
    ),
    max_size=4, unique_by=lambda task: task.code,
)  # fmt: skip


@given(TASKS)
def test_nothing_a_task_names_is_left_out_silently(tasks: list[Task]) -> None:
    found = contents(tasks, engine())
    for task in tasks:
        for need in task.parts:
            assert any(line.position == need.position and task.code in line.tasks for line in found.lines)
        for joint in task.opens:
            assert any(
                task.code in line.tasks and (line.position == "drain_washer" or joint in line.missing[0].name)
                for line in found.lines
                if line.position in ("drain_washer", None)
            )
    places = [(line.position, line.part) for line in found.lines if line.position]
    assert len(places) == len(set(places))
    assert all((line.part is not None and line.quantity is not None) or line.missing for line in found.lines)


@given(TASKS, TASKS)
def test_more_tasks_never_lessen_a_line_and_the_same_tasks_again_change_nothing(
    tasks: list[Task], more: list[Task]
) -> None:
    known = {task.code for task in tasks}
    less = amounts(contents(tasks, engine()))
    assert amounts(contents([*tasks, *tasks], engine())) == less
    extended = amounts(contents([*tasks, *(task for task in more if task.code not in known)], engine()))
    for place, quantity in less.items():
        now = extended[place]
        assert now is None or (quantity is not None and now >= quantity)


@given(TASKS, TASKS)
def test_the_places_of_a_kit_are_those_of_its_tasks_together_and_no_others(tasks: list[Task], more: list[Task]) -> None:
    known = {task.code for task in tasks}
    others = [task for task in more if task.code not in known]

    def places(of: list[Task]) -> set[tuple[str | None, object]]:
        return {(line.position, line.part) for line in contents(of, engine()).lines}

    assert places([*tasks, *others]) == places(tasks) | places(others)


def test_the_levels_are_of_the_tasks_that_stand_in_them() -> None:
    """The 250 h level alone: a filter, a washer, 4.3 L."""
    found = contents((OIL_250,), engine())
    assert amounts(found) == {
        place: KIT_500[place] for place in KIT_500 if place[0] in ("oil_filter", "oil", "drain_washer")
    }
