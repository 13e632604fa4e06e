from datetime import UTC, date, datetime
from io import StringIO

import pytest
from django.core.exceptions import ValidationError
from django.core.management import CommandError, call_command
from django.db import IntegrityError, transaction
from hypothesis import given
from hypothesis import strategies as st

from service.errors import Problems
from service.operations.models import Branch, ClosedDate, Dealer, Person, Role
from service.operations.models.dealer import weekday_bits
from service.operations.people import create_person
from service.operations.sign_in import NameOrAddressBackend

pytestmark = pytest.mark.db


def branch_of(dealer: Dealer, **fields: object) -> Branch:
    wished = {"code": "yard", "name": "Yard", "zone": "Europe/Paris", "currency": "EUR", **fields}
    return Branch(dealer=dealer, **wished)


@pytest.mark.parametrize("login", ["ida", "IDA", "ida@tallis.example", "Ida@Tallis.example"])
def test_a_person_signs_in_by_name_or_address_in_any_case(ida: Person, login: str) -> None:
    assert NameOrAddressBackend().authenticate(None, login, "a long pass phrase") == ida


@pytest.mark.parametrize(
    ("login", "password"), [("ida", "wrong"), ("nobody", "a long pass phrase"), ("", "x"), ("ida", None)]
)
@pytest.mark.usefixtures("ida")
def test_nobody_else_gets_in(login: str, password: str | None) -> None:
    assert NameOrAddressBackend().authenticate(None, login, password) is None


def test_an_inactive_person_does_not_get_in(ida: Person) -> None:
    ida.is_active = False
    ida.save()
    assert NameOrAddressBackend().authenticate(None, "ida", "a long pass phrase") is None


def test_a_person_created_without_a_password_cannot_sign_in_by_one() -> None:
    person = create_person(username="feed", name="Feed", roles=[])
    assert not person.has_usable_password()


def test_every_problem_of_a_new_person_is_told_and_nothing_is_saved(ida: Person) -> None:
    with pytest.raises(Problems) as refused:
        create_person(username="Ida", name="Other", roles=["boss"], email=str(ida.email))
    assert {p.code for p in refused.value.problems} == {"unknown_role", "taken"}
    assert {p.pointer for p in refused.value.problems} == {"/roles", "/username", "/email"}
    assert Person.objects.count() == 1


def test_the_command_adds_a_person_with_roles(tallis_bridge: Dealer) -> None:
    call_command(
        "create_person", "per", "Per Holm", "--dealer", "tallis-mill", "--role", "gas_technician", "--no-password",
        stdout=StringIO(),
    )  # fmt: skip
    per = Person.objects.get(username="per")
    assert per.dealer == tallis_bridge
    assert [role.name for role in per.roles.all()] == ["gas_technician"]


def test_the_command_files_a_technicians_licence(tallis_bridge: Dealer) -> None:
    options = ["--dealer", "tallis-mill", "--no-password", "--licence", "G-17", "north", "2026-12-31"]
    with pytest.raises(CommandError, match="gas technician"):
        call_command("create_person", "kim", "Kim Dahl", "--role", "counter", *options, stdout=StringIO())
    with pytest.raises(CommandError, match="no date"):
        call_command("create_person", "kim", "Kim Dahl", *options[:-1], "soon", stdout=StringIO())
    roles = ["--role", "counter", "--role", "gas_technician"]
    call_command("create_person", "kim", "Kim Dahl", *roles, *options, stdout=StringIO())
    filed = Role.objects.filter(person__username="kim").order_by("name")
    assert list(filed.values_list("name", "licence_number", "licence_area", "licence_expires")) == [
        ("counter", "", "", None),
        ("gas_technician", "G-17", "north", date(2026, 12, 31)),
    ]


def test_a_role_ends_after_the_last_day_of_its_licence(ida: Person) -> None:
    role = Role(person=ida, name="gas_technician", licence_number="G-17", licence_expires=date(2026, 3, 31))
    assert role.holds_on(date(2026, 3, 31))
    assert not role.holds_on(date(2026, 4, 1))
    assert Role(person=ida, name="counter").holds_on(date(2099, 1, 1))


@pytest.mark.parametrize(
    "fields",
    [{"name": "boss"}, {"name": "service_manager"}, {"name": "counter", "licence_expires": date(2027, 1, 1)}],
    ids=["unknown role", "the same role twice", "an expiry of no licence"],
)
def test_the_database_refuses_a_role_that_makes_no_sense(ida: Person, fields: dict[str, object]) -> None:
    with pytest.raises(IntegrityError), transaction.atomic():
        Role.objects.create(person=ida, **fields)


@pytest.mark.parametrize("username", ["", "Ida2", "a@b"])
def test_the_database_refuses_a_user_name_that_could_be_confused(username: str) -> None:
    with pytest.raises(IntegrityError), transaction.atomic():
        Person.objects.create(username=username, name="Somebody")


@pytest.mark.parametrize(
    "fields",
    [{"currency": "eur"}, {"currency": "EURO"[:2]}, {"closed_weekday_bits": 0b1111111}, {"name": ""}],
    ids=["lower case", "two letters", "never open", "nameless"],
)
def test_the_database_refuses_a_branch_that_makes_no_sense(tallis_bridge: Dealer, fields: dict[str, object]) -> None:
    with pytest.raises(IntegrityError), transaction.atomic():
        branch_of(tallis_bridge, **fields).save()


def test_a_zone_that_does_not_exist_is_refused_in_words(tallis_bridge: Dealer) -> None:
    with pytest.raises(ValidationError, match="Europe/Paris"):
        branch_of(tallis_bridge, zone="Mars/Olympus").full_clean()


def test_a_branch_lists_its_closed_dates_in_order_and_each_once(tallis_bridge: Dealer) -> None:
    yard = branch_of(tallis_bridge)
    yard.save()
    for day in (date(2026, 12, 25), date(2026, 5, 1)):
        ClosedDate.objects.create(branch=yard, date=day)
    assert [row.date for row in yard.closed_dates.all()] == [date(2026, 5, 1), date(2026, 12, 25)]
    with pytest.raises(IntegrityError), transaction.atomic():
        ClosedDate.objects.create(branch=yard, date=date(2026, 5, 1))


def test_today_is_the_date_in_the_branchs_own_zone(tallis_bridge: Dealer) -> None:
    late = datetime(2026, 3, 9, 23, 30, tzinfo=UTC)
    assert tallis_bridge.today(late) == date(2026, 3, 10)
    assert branch_of(tallis_bridge, zone="America/Chicago").today(late) == date(2026, 3, 9)


def test_a_dealer_sees_its_own_branches_and_people_only(tallis_bridge: Dealer, weir_lane: Dealer, ida: Person) -> None:
    branch_of(tallis_bridge).save()
    assert Branch.objects.visible_to(tallis_bridge).count() == 1
    assert not Branch.objects.visible_to(weir_lane).exists()
    assert list(Person.objects.visible_to(tallis_bridge)) == [ida]
    assert not Person.objects.visible_to(weir_lane).exists()
    assert not Person.objects.visible_to(None).exists()


@given(st.sets(st.integers(1, 7)))
def test_closed_weekdays_are_read_back_as_given(days: set[int]) -> None:
    assert Branch(closed_weekday_bits=weekday_bits(days)).closed_weekdays == tuple(sorted(days))
