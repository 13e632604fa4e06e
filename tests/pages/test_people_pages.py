"""The pages of a dealer's people, and everybody's page of the own password. Olga owns Tallis Bridge."""

from __future__ import annotations

import secrets
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from service.operations.models import Dealer, Person
from service.operations.people import GasLicence, create_person, people_of
from tests.desks import Clock
from tests.pages.browser import Browser, Page

pytestmark = [pytest.mark.db, pytest.mark.usefixtures("clock")]

FIRST, OTHER = "brass lantern 41", "quiet harbour 77"
LICENSED = {"role_gas_technician": "yes", "licence_number": "G-17", "licence_area": "north",
            "licence_expires": "2026-12-31"}  # fmt: skip


def person_at(dealer: Dealer | None, username: str, *roles: str, licence: GasLicence | None = None) -> Person:
    return create_person(
        username=username, name=username.title(), roles=roles, dealer=dealer, password=FIRST, licence=licence
    )


def signed_in(username: str, password: str = FIRST) -> Client:
    """Through the sign-in page, so that there is a session as people have one."""
    client = Client()
    place = f"fd00:{secrets.token_hex(2)}:{secrets.token_hex(2)}::1"  # where nothing was tried yet
    client.post("/sign-in/", {"username": username, "password": password}, REMOTE_ADDR=place)
    return client


def is_in(client: Client) -> bool:
    return client.get("/password/").status_code == 200  # which those see too who have to change a given one first


@pytest.fixture
def olga(tallis_bridge: Dealer) -> Person:
    return person_at(tallis_bridge, "olga", "owner")


@pytest.fixture
def owner(olga: Person) -> Browser:
    return Browser(signed_in("olga"))


@pytest.fixture
def kim(tallis_bridge: Dealer) -> Person:
    return person_at(tallis_bridge, "kim", "counter")


def typed(page: Page, end: str, **fields: str) -> dict[str, str]:
    """A form as it is sent: what stands in it, with this in its place; boxes stay as they are given here."""
    kept = {name: value for name, value in page.form(end).items() if not name.startswith("role_")}
    return {**kept, **fields}


def add(owner: Browser, **fields: str) -> Page:
    return owner.send("/people/add/", typed(owner.get("/people/add/"), "/people/add/", **fields))


def at(person: Person) -> str:
    return f"/people/{person.pk}/"


def test_the_list_says_who_may_do_what_until_when_and_when_they_were_last_here(
    owner: Browser, tallis_bridge: Dealer, kim: Person, clock: Clock
) -> None:
    over = GasLicence("G-18", "south", clock.at("2026-03-08T10:00:00+01:00").date())
    person_at(tallis_bridge, "per", "gas_technician", "service_manager", licence=over)
    clock.at("2026-03-09T10:15:00+01:00")
    signed_in("kim")
    page = owner.get("/people/")
    for words in (
        "Kim kim Counter none on file 2026-03-09 10:15",
        "Per per Service manager, Gas technician G-18 ( south ) expired 2026-03-08 never",
        "A. Tarle a.tarle Gas technician G-114 ( north ) to 2029-12-31 never",
        "Olga you olga Owner",
    ):
        assert words in page.text
    assert at(kim) in page.links


def test_the_only_person_is_told_why_others_are_needed(weir_lane: Dealer) -> None:
    person_at(weir_lane, "wim", "owner")
    page = Browser(signed_in("wim")).get("/people/")
    assert "So far only you are on file." in page.text
    assert "A. Tarle" not in page.text


def test_only_owners_see_the_people_and_the_way_to_them(tallis_bridge: Dealer, owner: Browser, kim: Person) -> None:
    manager = person_at(tallis_bridge, "mara", "service_manager", "catalogue_editor")
    for username in ("kim", "mara"):
        browser = Browser(signed_in(username))
        assert "/people/" not in browser.get("/counter/").links
        for address in ("/people/", "/people/add/", at(manager)):
            page = browser.get(address)
            assert (page.status, "managed by its owner" in page.text) == (403, True)
        for act in ("change", "password", "withdraw", "bring-back"):
            assert browser.send(f"{at(kim)}{act}/", {"name": "Kim", "role_owner": "yes"}).status == 403
    assert "/people/" in owner.get("/counter/").links
    answer = Client().get("/people/")
    assert (answer.status_code, answer.headers["Location"]) == (302, "/sign-in/?next=/people/")


def test_another_dealers_person_is_not_there(weir_lane: Dealer, kim: Person) -> None:
    person_at(weir_lane, "wim", "owner")
    stranger = Browser(signed_in("wim"))
    assert stranger.get(at(kim)).status == 404
    for act in ("change", "password", "withdraw", "bring-back"):
        assert (
            stranger.send(f"{at(kim)}{act}/", {"name": "Kim", "role_counter": "yes", "password": OTHER}).status == 404
        )
    assert is_in(signed_in("kim"))


def test_a_technician_is_added_with_licence_and_the_password_that_was_made_up(owner: Browser) -> None:
    fields = typed(owner.get("/people/add/"), "/people/add/", name="Per Holm", username="Per.Holm", **LICENSED)
    page = owner.send("/people/add/", fields)
    assert "signs in as per.holm with the password that you gave" in page.text
    assert fields["password"] not in page.html
    assert "G-17 ( north ) to 2026-12-31" in page.text
    assert is_in(signed_in("per.holm", fields["password"]))


def test_the_form_sent_twice_adds_one_person(owner: Browser, tallis_bridge: Dealer) -> None:
    fields = typed(owner.get("/people/add/"), "/people/add/", name="Per Holm", username="per", role_counter="yes")
    before = len(people_of(tallis_bridge))
    first, second = (owner.send("/people/add/", fields) for _ in range(2))
    assert (first.status, first.address) == (second.status, second.address)
    assert len(people_of(tallis_bridge)) == before + 1


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        ({"name": ""}, "Fill this in."),
        ({"username": "kim"}, "The user name 'kim' is taken."),
        ({"username": "per holm"}, "A user name holds no spaces."),
        ({"username": "per@a.example"}, "A user name holds no @"),
        ({"email": "nowhere"}, "This is no e-mail address"),
        ({"password": "12345"}, "This password is too short."),
        ({"role_gas_technician": ""}, "Tick at least one role."),
        ({"role_gas_technician": "", "role_counter": "yes"}, "A licence is a gas technician's; add that role."),
        ({"licence_area": ""}, "a licence is on file with all of it or not at all"),
        ({"licence_expires": "2026-02-30"}, "date"),
    ],
)
def test_what_is_wrong_stands_beside_its_field_and_all_that_was_typed_stays(
    owner: Browser, kim: Person, wrong: dict[str, str], words: str
) -> None:
    fields = {**LICENSED, "name": "Per", "username": "per", "email": "", "password": OTHER, **wrong}
    before = Person.objects.count()
    page = add(owner, **fields)
    assert page.status == 200
    assert words in page.text
    assert "Nothing was saved." in page.text
    ticked = {name for name, value in fields.items() if name.startswith("role_") and value}
    kept = page.form("/people/add/")
    assert {name: kept[name] for name in fields if not name.startswith("role_")} == {
        name: value for name, value in fields.items() if not name.startswith("role_")
    }
    assert {f'name="{name}" value="yes" checked' in page.html for name in ticked} <= {True}
    assert page.html.count(" checked") == len(ticked)
    assert Person.objects.count() == before


def test_roles_and_licence_are_changed_and_hold_from_the_next_page_on(owner: Browser, kim: Person) -> None:
    page = owner.get(at(kim))
    changed = owner.send(f"{at(kim)}change/", typed(page, "change/", name="Kim Dahl", role_owner="yes", **LICENSED))
    assert "What you changed of Kim Dahl is on file." in changed.text
    assert "G-17 ( north ) to 2026-12-31" in changed.text
    assert sorted(kim.roles.values_list("name", flat=True)) == ["gas_technician", "owner"]
    assert Browser(signed_in("kim")).get("/people/").status == 200


def test_an_owner_cannot_take_the_own_ownership_or_withdraw(owner: Browser, olga: Person) -> None:
    page = owner.get(at(olga))
    assert [one for one in page.forms() if one.endswith(("withdraw/", "bring-back/"))] == []
    assert f"{at(olga)}password/" not in page.forms()
    refused = owner.send(f"{at(olga)}change/", typed(page, "change/", role_counter="yes"))
    assert (refused.status, "cannot take the owner's role from yourself" in refused.text) == (200, True)
    assert owner.send(f"{at(olga)}withdraw/", {}).status == 409
    assert owner.send(f"{at(olga)}password/", {"password": OTHER}).status == 200
    assert is_in(signed_in("olga"))
    assert owner.get("/people/").status == 200


def test_who_is_withdrawn_is_out_at_once_and_old_sessions_stay_over(owner: Browser, kim: Person) -> None:
    session = signed_in("kim")
    assert is_in(session)
    page = owner.send(f"{at(kim)}withdraw/", {})
    assert "is withdrawn, and signed out" in page.text
    assert not is_in(session)
    assert not is_in(signed_in("kim"))
    assert "Kim withdrawn" in owner.get("/people/").text

    weak = owner.send(f"{at(kim)}bring-back/", typed(page, "bring-back/", password="password"))
    assert "too common" in weak.text
    back = owner.send(f"{at(kim)}bring-back/", typed(page, "bring-back/", password=OTHER))
    assert "is back, with the roles from before" in back.text
    assert not is_in(session)
    assert is_in(signed_in("kim", OTHER))


def test_a_new_password_from_the_owner_ends_the_sessions_of_before(owner: Browser, kim: Person) -> None:
    session = signed_in("kim")
    page = owner.get(at(kim))
    suggested = page.form("/password/")["password"]
    done = owner.send(f"{at(kim)}password/", typed(page, "/password/"))
    assert "signs in with the new password" in done.text
    assert suggested not in done.html
    assert (is_in(session), is_in(signed_in("kim")), is_in(signed_in("kim", suggested))) == (False, False, True)


def test_an_address_that_takes_a_form_leads_to_its_page(owner: Browser, kim: Person) -> None:
    for act in ("change", "password", "withdraw", "bring-back"):
        assert owner.raw(f"{at(kim)}{act}/").headers["Location"] == at(kim)
    kim.refresh_from_db()
    assert kim.is_active


def change_own(client: Client, old: str, new: str, again: str | None = None, place: str = "") -> Any:
    fields = {"old_password": old, "new_password1": new, "new_password2": new if again is None else again}
    at_place = place or f"fd00:{secrets.token_hex(2)}:{secrets.token_hex(2)}::1"
    return client.post("/password/", fields, follow=True, REMOTE_ADDR=at_place)


def test_everybody_changes_the_own_password_and_only_this_session_goes_on(kim: Person) -> None:
    here, elsewhere = signed_in("kim"), signed_in("kim")
    assert "/password/" in Browser(here).get("/counter/").links
    said = change_own(here, FIRST, OTHER).content.decode()
    assert "Your password is changed." in said
    assert (is_in(here), is_in(elsewhere)) == (True, False)
    assert (is_in(signed_in("kim")), is_in(signed_in("kim", OTHER))) == (False, True)


@pytest.mark.parametrize("given", ["password", "bring-back"])
def test_nothing_is_done_by_a_password_that_somebody_else_chose(owner: Browser, kim: Person, given: str) -> None:
    """What is approved in a name is to be that person's; common practice, no source."""
    if given == "bring-back":
        owner.send(f"{at(kim)}withdraw/", {})
    owner.send(f"{at(kim)}{given}/", {"password": OTHER})
    here = signed_in("kim", OTHER)
    for address in ("/counter/", "/machines/", "/approvals/"):
        assert here.get(address).headers["Location"] == "/password/"
    assert here.post("/counter/", {"number": "2051"}).headers["Location"] == "/password/"
    refused = here.get("/api/v1/parts/")
    assert (refused.status_code, refused.json()["code"]) == (403, "password_given")
    assert "Choose one of your own first" in here.get("/password/").content.decode()

    assert "Your password is changed." in change_own(here, OTHER, FIRST).content.decode()
    assert here.get("/counter/").status_code == 200
    assert here.get("/api/v1/parts/").status_code == 200
    assert "Choose one of your own first" not in here.get("/password/").content.decode()


def test_an_editor_of_no_dealership_has_the_page_too(tallis_bridge: Dealer) -> None:
    person_at(None, "edda", "catalogue_editor")
    assert "Your password is changed." in change_own(signed_in("edda"), FIRST, OTHER).content.decode()


@pytest.mark.parametrize(
    ("old", "new", "again", "words"),
    [
        (OTHER, OTHER, OTHER, "This is not your present password."),
        (FIRST, "12345", "12345", "too short"),
        (FIRST, OTHER, FIRST, "This is not the same as above."),
        ("", OTHER, OTHER, "Fill this in."),
        (FIRST, FIRST, FIRST, "This is the present password; choose another."),
    ],
)
def test_a_password_that_cannot_be_changed_is_told_beside_its_field(
    kim: Person, old: str, new: str, again: str, words: str
) -> None:
    here = signed_in("kim")
    answer = change_own(here, old, new, again)
    page = answer.content.decode()
    assert answer.status_code == 200
    assert words in page
    assert "Nothing was changed." in page
    assert OTHER not in page
    assert is_in(signed_in("kim"))


def test_wrong_present_passwords_are_counted_like_those_at_the_sign_in(tallis_bridge: Dealer) -> None:
    """Ten in ten minutes: common practice, no source. Who sits down at a session left open cannot guess on."""
    name = f"kim.{secrets.token_hex(6)}"
    person_at(tallis_bridge, name, "counter")
    here = signed_in(name)
    weak = [change_own(here, FIRST, "12345").status_code for _ in range(11)]
    wrong = [change_own(here, OTHER, OTHER).status_code for _ in range(11)]
    assert weak == [200] * 11, "the present password was right"
    assert wrong == [200] * 10 + [429]
    assert change_own(here, FIRST, OTHER).status_code == 429
    assert not is_in(signed_in(name))


def test_the_pages_hold_no_script_style_or_handler_of_their_own(owner: Browser, kim: Person) -> None:
    for address in ("/people/", "/people/add/", at(kim), "/password/"):
        page = owner.get(address)
        assert page.status == 200
        for words in ("<style", "<script", " style=", " onclick="):
            assert words not in page.html.lower()


def test_a_longer_list_costs_no_statement_more(owner: Browser, tallis_bridge: Dealer) -> None:
    counts = []
    for more in ("abe", "zoe"):
        owner.get("/people/")
        with CaptureQueriesContext(connection) as asked:
            owner.get("/people/")
        counts.append(len(asked))
        person_at(tallis_bridge, more, "counter", "owner")
    assert counts[0] == counts[1]
