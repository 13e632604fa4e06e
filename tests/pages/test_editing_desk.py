"""The catalogue editor's desk: who is let in, and that what is changed there goes the way that any change goes."""

from __future__ import annotations

import pytest
from django.test import Client
from django.utils import timezone

from catalog.domain.data_errors import DataErrorKind
from catalog.models import CatalogueState, DataError, Part
from catalog.usecases.data_errors import tell_data_error
from service.operations.models import Dealer, RoleName
from service.operations.people import create_person
from tests.api.world import Desk, demo_question

pytestmark = pytest.mark.db


def desk_of(*roles: RoleName) -> Client:
    client = Client()
    client.force_login(create_person(username="edda", name="Edda", roles=roles))
    return client


@pytest.fixture
def editor(tallis_bridge: Dealer) -> Client:
    return desk_of(RoleName.CATALOGUE_EDITOR)


def version() -> int:
    return CatalogueState.objects.get().version


def test_it_is_for_those_who_may_write_the_catalogue(tallis_bridge: Dealer) -> None:
    anybody, counter = Client().get("/catalogue/"), desk_of(RoleName.COUNTER).get("/catalogue/", follow=True)

    assert anybody.status_code == 302
    assert counter.status_code == 403
    assert "kept by its editors" in counter.content.decode()


@pytest.mark.parametrize("path", ["", "part/", "statement/", "enginespecification/", "dataerror/", "rulebookversion/"])
def test_every_list_can_be_seen(editor: Client, path: str) -> None:
    response = editor.get(f"/catalogue/catalog/{path}")

    assert response.status_code == 200
    assert "object (" not in response.content.decode()


def test_a_part_shows_its_values_as_people_read_them(editor: Client) -> None:
    plug = Part.objects.get(number="4475")

    page = editor.get(f"/catalogue/catalog/part/{plug.pk}/change/").content.decode()

    assert "0.5 mm" in page
    assert "M18x1.5" in page


def test_a_part_that_is_withdrawn_moves_the_catalogue_on_and_checks_hear_of_it(editor: Client, desk: Desk) -> None:
    plug, before = Part.objects.get(number="4475"), version()
    form = {"name": plug.name, "status": "withdrawn"}
    for rows in ("attributes", "barcodes"):
        form |= {f"{rows}-TOTAL_FORMS": "0", f"{rows}-INITIAL_FORMS": "0"}

    response = editor.post(f"/catalogue/catalog/part/{plug.pk}/change/", form)

    plug.refresh_from_db()
    assert response.status_code == 302
    assert plug.status == "withdrawn"
    assert version() == before + 1
    assert desk.check(demo_question("conditional")).status_code == 410


def test_nothing_is_added_or_deleted_there(editor: Client) -> None:
    plug = Part.objects.get(number="4475")

    assert editor.get("/catalogue/catalog/part/add/").status_code == 403
    assert editor.post(f"/catalogue/catalog/part/{plug.pk}/delete/", {"post": "yes"}).status_code == 403
    assert Part.objects.filter(pk=plug.pk).exists()


def test_an_error_in_the_data_is_closed_with_a_reason_alone(editor: Client) -> None:
    tell_data_error(DataErrorKind.CONTRADICTION, "k", "Two sources disagree.", (), timezone.now())
    error = DataError.objects.get(key="k")
    address = f"/catalogue/catalog/dataerror/{error.pk}/change/"

    silent = editor.post(address, {"state": "closed", "reason": " "})
    editor.post(address, {"state": "closed", "reason": "sheet 2025 is right"})

    error.refresh_from_db()
    assert "closed with a reason" in silent.content.decode()
    assert (error.state, error.reason, error.closed_by) == ("closed", "sheet 2025 is right", "Edda")
