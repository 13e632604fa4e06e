"""Who may approve what, and when an approval applies: never outside its days, never for more, never after withdrawal.

Roles and licences: common practice, no source.
"""

from dataclasses import replace
from datetime import date, timedelta
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog.domain.answers import Verdict
from catalog.domain.approvals import (
    Approved,
    Binding,
    BoundPart,
    HeldRole,
    Lapse,
    Licence,
    LicenceNotInForce,
    Moment,
    NotAnApprover,
    NotApprovable,
    any_reported,
    approver_asked,
    approving_role,
    deciding_record,
    lapse_of,
    may_be_approved,
)
from catalog.domain.fuels import Fuel, FuelRecord, RecordMode
from catalog.domain.rules import Approver

pytestmark = pytest.mark.domain

DAY = date(2026, 3, 9)
ONE, FEW = timedelta(days=1), st.integers(-400, 400).map(lambda days: timedelta(days=days))
WORDS = st.text("abc", min_size=1, max_size=3)
PARTS = st.builds(
    BoundPart,
    maker=WORDS,
    number=WORDS,
    quantity=st.none() | st.integers(1, 8),
    adapters=st.lists(st.tuples(WORDS, WORDS), max_size=2).map(tuple),
    described=st.text("xy", max_size=2),
)
BINDINGS = st.builds(
    Binding,
    machine=WORDS,
    position=WORDS,
    parts=st.lists(PARTS, min_size=1, max_size=3).map(tuple),
    conditions=st.lists(WORDS, min_size=1, max_size=3, unique=True).map(tuple),
    engine=WORDS,
)
MANAGER = HeldRole("service_manager")
TECHNICIAN = HeldRole("gas_technician", Licence("G-114", "north", date(2026, 12, 31)))


@st.composite
def approvals(draw: st.DrawFn) -> Approved:
    first = DAY + draw(FEW)
    last = first + timedelta(days=draw(st.integers(0, 90)))
    return Approved(
        binding=draw(BINDINGS).digest,
        first=first,
        last=last,
        withdrawn=draw(st.booleans()),
        work_order_ended=draw(st.booleans()),
        rests_on=draw(st.none() | st.integers(1, 3)),
    )


def plain(first: date, last: date) -> Approved:
    return Approved("b", first, last)


def within(approved: Approved) -> Moment:
    """The moment at which nothing stands against it but what it carries itself."""
    return Moment(approved.binding, approved.first, approved.rests_on)


@given(approvals(), FEW)
def test_an_approval_never_applies_outside_its_days(approved: Approved, offset: timedelta) -> None:
    for edge in (approved.first, approved.last):
        day = edge + offset
        applies = lapse_of(approved, replace(within(approved), day=day)) is None
        assert not applies or approved.first <= day <= approved.last


def test_both_of_its_days_are_in_and_no_other() -> None:
    approved = plain(DAY, date(2026, 4, 9))
    days = (DAY - ONE, DAY, date(2026, 4, 9), date(2026, 4, 10))
    assert [lapse_of(approved, Moment("b", day)) for day in days] == [Lapse.NOT_YET, None, None, Lapse.OVER]


@given(approvals(), FEW, BINDINGS, st.none() | st.integers(1, 3), st.booleans())
def test_withdrawal_is_final(
    approved: Approved, offset: timedelta, binding: Binding, confirmed: int | None, on_hold: bool
) -> None:
    moment = Moment(binding.digest, approved.first + offset, confirmed, on_hold)
    assert lapse_of(replace(approved, withdrawn=True), moment) is Lapse.WITHDRAWN


@given(BINDINGS, BINDINGS)
def test_an_approval_never_widens_to_anything_else(given_for: Binding, asked: Binding) -> None:
    approved = Approved(given_for.digest, DAY, DAY)
    applies = lapse_of(approved, Moment(asked.digest, DAY)) is None
    assert applies == (_normal(given_for) == _normal(asked))


def _normal(binding: Binding) -> tuple[object, ...]:
    """In no order: parts, their adapters and conditions are what they are in any."""
    parts = sorted(repr(replace(part, adapters=tuple(sorted(part.adapters)))) for part in binding.parts)
    return binding.machine, binding.engine, binding.position, parts, sorted(binding.conditions)


@given(BINDINGS, st.data())
def test_any_one_change_of_what_it_is_for_is_something_else(binding: Binding, data: st.DataObject) -> None:
    first, *others = binding.parts
    changed = data.draw(
        st.sampled_from(
            [
                replace(binding, machine=f"{binding.machine}!"),
                replace(binding, engine=f"{binding.engine}!"),
                replace(binding, position=f"{binding.position}!"),
                replace(binding, conditions=(*binding.conditions, "one more")),
                replace(binding, conditions=binding.conditions[1:]),
                replace(binding, parts=(replace(first, number=f"{first.number}!"), *others)),
                replace(binding, parts=(replace(first, quantity=(first.quantity or 0) + 1), *others)),
                replace(binding, parts=(replace(first, adapters=(*first.adapters, ("V", "1"))), *others)),
                replace(binding, parts=(replace(first, described=f"{first.described}!"), *others)),
                replace(binding, parts=(*binding.parts, BoundPart("V", "2"))),
            ]
        )
    )
    assert lapse_of(Approved(binding.digest, DAY, DAY), Moment(changed.digest, DAY)) is Lapse.SOMETHING_ELSE


@given(BINDINGS, st.randoms())
def test_the_order_of_parts_and_conditions_is_no_difference(binding: Binding, random: Random) -> None:
    parts, conditions = list(binding.parts), list(binding.conditions)
    random.shuffle(parts)
    random.shuffle(conditions)
    assert replace(binding, parts=tuple(parts), conditions=tuple(conditions)).digest == binding.digest


def test_it_ends_with_its_work_order_and_with_the_fuel_record_it_rests_on() -> None:
    approved, moment = plain(DAY, DAY), Moment("b", DAY)
    assert lapse_of(replace(approved, work_order_ended=True), moment) is Lapse.WORK_ORDER_ENDED
    assert lapse_of(replace(approved, rests_on=4), replace(moment, confirmed=4)) is None
    for later in (5, None):
        assert lapse_of(replace(approved, rests_on=4), replace(moment, confirmed=later)) is Lapse.FOUND_OTHERWISE
    assert lapse_of(approved, replace(moment, on_hold=True)) is Lapse.ON_HOLD


@pytest.mark.parametrize(
    ("verdict", "by", "machine", "words"),
    [
        (Verdict.REJECTED, Approver.SERVICE_MANAGER, True, "hard no"),
        (Verdict.UNDETERMINED, Approver.SERVICE_MANAGER, True, "missing"),
        (Verdict.ACCEPTED, None, True, "no approval"),
        (Verdict.CONDITIONAL, Approver.SERVICE_MANAGER, False, "names none"),
        (Verdict.CONDITIONAL, None, True, "nobody"),
    ],
)
def test_only_a_condition_somebody_may_approve_on_a_machine_can_be_approved(
    verdict: Verdict, by: Approver | None, machine: bool, words: str
) -> None:
    assert not may_be_approved(verdict, by, names_a_machine=machine)
    with pytest.raises(NotApprovable, match=words):
        approver_asked(verdict, by, names_a_machine=machine, headline="Because.")


def test_each_role_approves_what_asks_for_it_and_nothing_else() -> None:
    assert approving_role(Approver.SERVICE_MANAGER, "R. Tarnick", (MANAGER,), DAY) is MANAGER
    assert approving_role(Approver.GAS_TECHNICIAN, "A. Tarle", (TECHNICIAN,), DAY, "G-114") is TECHNICIAN
    others = [HeldRole(name) for name in ("counter", "catalogue_editor", "owner")]
    for asked, wrong in ((Approver.GAS_TECHNICIAN, MANAGER), (Approver.SERVICE_MANAGER, TECHNICIAN)):
        with pytest.raises(NotAnApprover):
            approving_role(asked, "Somebody", (wrong, *others), DAY)


@given(st.sampled_from(["number", "area", "expires", "over", "other", "all"]), FEW)
def test_a_technicians_licence_is_whole_on_file_and_in_force_that_day(what: str, offset: timedelta) -> None:
    licence = TECHNICIAN.licence
    day, given_number = DAY, None
    match what:
        case "number":
            licence = replace(licence, number="")
        case "area":
            licence = replace(licence, area="")
        case "expires":
            licence = replace(licence, expires=None)
        case "all":
            licence = Licence()
        case "over":
            day = date(2027, 1, 1) + abs(offset)
        case "other":
            given_number = "G-115"
    role = HeldRole("gas_technician", licence)
    with pytest.raises(LicenceNotInForce):
        approving_role(Approver.GAS_TECHNICIAN, "A. Tarle", (role,), day, given_number)


def test_on_its_last_day_a_licence_is_in_force() -> None:
    assert approving_role(Approver.GAS_TECHNICIAN, "A. Tarle", (TECHNICIAN,), date(2026, 12, 31)) is TECHNICIAN


def test_the_record_that_decides_is_the_latest_that_differs_from_the_plate() -> None:
    plate = (Fuel("natural_gas"),)
    converted = FuelRecord((Fuel("lpg_vapour"),), RecordMode.ONLY_FUEL, date(2024, 5, 6))
    again = replace(converted, found_on=date(2026, 3, 2))
    as_plate = FuelRecord(plate, RecordMode.BURNS_TODAY, date(2026, 3, 3))
    assert deciding_record(plate, (converted, again, as_plate)) == 1
    assert deciding_record(plate, (as_plate,)) is None
    # Of two of one day that say the same the later one decides.
    assert deciding_record(plate, (converted, replace(converted))) == 1


@pytest.mark.parametrize(
    ("parts", "reported_at", "counts"),
    [
        ([("OLM", "7702")], "head_gasket", True),
        ([("OLM", "7702")], "cover_gasket", False),
        ([("OLM", "7702"), ("OLM", "7703")], "cover_gasket", True),
    ],
)
def test_a_report_elsewhere_is_about_a_set_and_not_about_a_part_alone(
    parts: list[tuple[str, str]], reported_at: str, *, counts: bool
) -> None:
    assert any_reported("head_gasket", parts, [(reported_at, ("OLM", "7702"))]) is counts
    assert not any_reported("head_gasket", parts, [("head_gasket", ("OLM", "7799"))])
