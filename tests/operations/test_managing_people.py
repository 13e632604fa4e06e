"""What owners do with a dealer's people, and what no owner can do. The cast: Vera and Nils own Tallis Bridge."""

from __future__ import annotations

from datetime import date
from threading import Barrier

import pytest
from django.contrib.auth.password_validation import validate_password

from service.errors import Conflict, NotFound, Problems
from service.operations import people
from service.operations.models import Dealer, Person
from service.operations.people import GasLicence, Particulars, create_person
from service.operations.sign_in import NameOrAddressBackend
from tests.operations.workers import at_once

pytestmark = pytest.mark.db

STRONG, OTHER = "brass lantern 41", "quiet harbour 77"
LICENCE = GasLicence("G-17", "north", date(2026, 12, 31))


def owner_of(dealer: Dealer, username: str) -> Person:
    return create_person(username=username, name=username.title(), roles=["owner"], dealer=dealer, password=STRONG)


@pytest.fixture
def vera(tallis_bridge: Dealer) -> Person:
    return owner_of(tallis_bridge, "vera")


@pytest.fixture
def nils(tallis_bridge: Dealer) -> Person:
    return owner_of(tallis_bridge, "nils")


@pytest.fixture
def wim(weir_lane: Dealer) -> Person:
    """Owner of the other dealer."""
    return owner_of(weir_lane, "wim")


def told(*roles: str, licence: GasLicence | None = None, email: str | None = None) -> Particulars:
    return Particulars("Kim Dahl", roles, email, licence)


def kim_of(by: Person) -> Person:
    """As the dealer of that owner has Kim on file."""
    assert by.dealer is not None
    return people.person_of(by.dealer, Person.objects.get(username="kim").pk)


def roles_of(person: Person) -> set[str]:
    return set(person.roles.values_list("name", flat=True))


def signs_in(username: str, password: str) -> bool:
    return NameOrAddressBackend().authenticate(None, username, password) is not None


def pointers(problems: Problems) -> set[str]:
    return {problem.pointer for problem in problems.problems}


def test_an_owner_adds_a_licensed_technician_who_signs_in(vera: Person) -> None:
    kim = people.add_person(vera, told("gas_technician", licence=LICENCE), username="Kim", password=STRONG)
    assert (kim.dealer, roles_of(kim)) == (vera.dealer, {"gas_technician"})
    role = people.licence_of(kim_of(vera))
    assert role is not None
    assert (role.licence_number, role.licence_area, role.licence_expires) == ("G-17", "north", date(2026, 12, 31))
    assert signs_in("kim", STRONG)


@pytest.mark.parametrize("weak", ["short1", "password", "123456789012", "kim.dahl.7"])
def test_a_weak_password_is_refused_with_all_else_that_is_wrong_and_nobody_is_added(vera: Person, weak: str) -> None:
    with pytest.raises(Problems) as refused:
        people.add_person(vera, told("counter", licence=LICENCE), username="kim.dahl.7", password=weak)
    assert pointers(refused.value) == {"/password", "/licence"}
    assert Person.objects.count() == 1


def test_made_up_passwords_are_strong_and_no_two_alike() -> None:
    made = {people.made_up_password() for _ in range(50)}
    assert len(made) == 50
    for one in made:
        validate_password(one)
        assert not set(one) & set("il1o0OI")


def test_roles_and_licence_become_those_that_are_told(vera: Person) -> None:
    kim = people.add_person(vera, told("counter"), username="kim", password=STRONG)
    people.change_person(vera, kim.pk, told("gas_technician", "service_manager", licence=LICENCE, email="K@a.example"))
    kim = kim_of(vera)
    assert (roles_of(kim), kim.email) == ({"gas_technician", "service_manager"}, "k@a.example")
    people.change_person(vera, kim.pk, told("gas_technician"))
    kim = kim_of(vera)
    assert (roles_of(kim), kim.email, people.licence_of(kim)) == ({"gas_technician"}, None, None)
    assert signs_in("kim", STRONG), "a change of roles leaves the password"


def test_a_change_that_is_wrong_names_each_field_and_changes_nothing(vera: Person, nils: Person) -> None:
    people.change_person(vera, nils.pk, told("owner", email="nils@a.example"))
    kim = people.add_person(vera, told("counter"), username="kim", password=STRONG)
    with pytest.raises(Problems) as refused:
        people.change_person(vera, kim.pk, told("boss", licence=LICENCE, email="Nils@a.example"))
    assert pointers(refused.value) == {"/roles", "/email", "/licence"}
    assert roles_of(kim) == {"counter"}


def test_a_person_keeps_the_own_address(vera: Person) -> None:
    kim = people.add_person(vera, told("counter", email="kim@a.example"), username="kim", password=STRONG)
    assert people.change_person(vera, kim.pk, told("counter", email="kim@a.example")).email == "kim@a.example"


def test_who_is_withdrawn_signs_in_no_more_and_comes_back_with_a_new_password(vera: Person) -> None:
    kim = people.add_person(vera, told("counter"), username="kim", password=STRONG)
    before = kim.get_session_auth_hash()
    people.withdraw_person(vera, kim.pk)
    assert not signs_in("kim", STRONG)
    assert NameOrAddressBackend().get_user(kim.pk) is None

    people.withdraw_person(vera, kim.pk)  # once more is the same
    back = people.bring_back_person(vera, kim.pk, OTHER)
    assert (signs_in("kim", STRONG), signs_in("kim", OTHER)) == (False, True)
    assert roles_of(back) == {"counter"}
    assert before not in {back.get_session_auth_hash(), *back.get_session_auth_fallback_hash()}, (
        "old sessions stay over"
    )
    with pytest.raises(Conflict, match="not withdrawn"):
        people.bring_back_person(vera, kim.pk, STRONG)


def test_a_new_password_is_strong_and_for_those_who_sign_in(vera: Person) -> None:
    kim = people.add_person(vera, told("counter"), username="kim", password=STRONG)
    with pytest.raises(Problems):
        people.give_password(vera, kim.pk, "12345678")
    people.give_password(vera, kim.pk, OTHER)
    assert (signs_in("kim", STRONG), signs_in("kim", OTHER)) == (False, True)
    people.withdraw_person(vera, kim.pk)
    with pytest.raises(Conflict, match="bring them back"):
        people.give_password(vera, kim.pk, STRONG)
    assert not signs_in("kim", STRONG)


def test_a_weak_password_brings_nobody_back(vera: Person) -> None:
    kim = people.add_person(vera, told("counter"), username="kim", password=STRONG)
    people.withdraw_person(vera, kim.pk)
    with pytest.raises(Problems):
        people.bring_back_person(vera, kim.pk, "password")
    assert not Person.objects.get(pk=kim.pk).is_active


def test_an_owner_neither_withdraws_nor_demotes_nor_resets_the_own_account(vera: Person) -> None:
    with pytest.raises(people.OwnAccount):
        people.withdraw_person(vera, vera.pk)
    with pytest.raises(people.OwnAccount):
        people.give_password(vera, vera.pk, OTHER)
    with pytest.raises(Problems) as refused:
        people.change_person(vera, vera.pk, told("service_manager"))
    assert pointers(refused.value) == {"/roles/owner"}
    people.change_person(vera, vera.pk, told("service_manager", "owner"))
    assert roles_of(vera) == {"service_manager", "owner"}
    assert signs_in("vera", STRONG)


def test_of_two_owners_who_turn_on_each_other_one_stays(vera: Person, nils: Person) -> None:
    """Nils still looks at a page of before; what he may do is looked at anew."""
    people.change_person(vera, nils.pk, told("counter"))
    with pytest.raises(people.NotAnOwner):
        people.withdraw_person(nils, vera.pk)
    people.change_person(vera, nils.pk, told("owner"))
    people.withdraw_person(vera, nils.pk)
    with pytest.raises(people.NotAnOwner):
        people.change_person(nils, vera.pk, told("counter"))
    assert people.is_owner(vera)


@pytest.mark.django_db(transaction=True)
def test_of_two_owners_who_withdraw_each_other_at_once_one_stays(vera: Person, nils: Person) -> None:
    owners, together = (vera, nils), Barrier(2)

    def withdraw_the_other(number: int) -> bool:
        together.wait()
        try:
            people.withdraw_person(owners[number], owners[1 - number].pk)
        except people.NotAnOwner:
            return False
        return True

    done = at_once(2, withdraw_the_other)
    assert sorted(done) == [False, True]
    assert Person.objects.filter(is_active=True).count() == 1


def test_nobody_but_an_owner_manages_people(vera: Person) -> None:
    kim = people.add_person(vera, told("service_manager", "catalogue_editor"), username="kim", password=STRONG)
    nobodys = create_person(username="edda", name="Edda", roles=["owner"])
    for by in (kim, nobodys):
        assert not people.is_owner(by)
        with pytest.raises(people.NotAnOwner):
            people.add_person(by, told("counter"), username="new", password=STRONG)
        with pytest.raises(people.NotAnOwner):
            people.withdraw_person(by, vera.pk)


def test_another_dealers_people_are_not_there(vera: Person, wim: Person, weir_lane: Dealer) -> None:
    assert people.people_of(weir_lane) == [wim]
    for number in (vera.pk, 10**30):
        with pytest.raises(NotFound):
            people.change_person(wim, number, told("counter"))
        with pytest.raises(NotFound):
            people.withdraw_person(wim, number)
        with pytest.raises(NotFound):
            people.give_password(wim, number, OTHER)
        with pytest.raises(NotFound):
            people.bring_back_person(wim, number, OTHER)
    assert signs_in("vera", STRONG)


def test_people_are_listed_by_name_and_those_withdrawn_last(vera: Person, tallis_bridge: Dealer) -> None:
    zoe = people.add_person(vera, Particulars("zoe", ("counter",)), username="zoe", password=STRONG)
    people.add_person(vera, Particulars("Xaver", ("counter",)), username="abe", password=STRONG)
    people.withdraw_person(vera, zoe.pk)
    people.add_person(vera, Particulars("Adam", ("counter",)), username="yan", password=STRONG)
    assert [one.username for one in people.people_of(tallis_bridge)] == ["yan", "vera", "abe", "zoe"]
