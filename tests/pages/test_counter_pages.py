"""The counter's pages: who sees them, what they record, and that nothing typed is lost. The invented dealership."""

from __future__ import annotations

import html
import json
import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import timedelta
from typing import Any

import pytest
from django.test import Client

from catalog.models import ApprovalRequest, Check, Machine
from catalog.usecases.answerable import questions_of
from catalog.usecases.showing import rulebook_of
from service.operations.models import Branch, Dealer, Person, RoleName
from service.operations.people import GasLicence, create_person
from tests.api.world import Desk, demo_question
from tests.desks import Clock

pytestmark = pytest.mark.db


@dataclass(frozen=True, slots=True)
class Seat:
    """Somebody signed in before the pages."""

    client: Client
    person: Person

    def see(self, path: str, status: int = 200) -> str:
        response = self.client.get(path)
        assert response.status_code == status, response.content
        return _words(response.content)

    def send(self, path: str, form: Mapping[str, Any]) -> str:
        """What is shown after a form was sent, redirects followed."""
        response = self.client.post(path, form, follow=True)
        assert response.status_code == 200, response.content
        return _words(response.content)

    def ask(self, number: str, machine: str, **more: str) -> str:
        return self.send("/counter/", {"number": number, "machine": machine, **more})


def _words(page: bytes) -> str:
    """The page as it is read: tags and needless white space away."""
    text = re.sub(r"<[^>]+>", " ", page.decode())
    return " ".join(html.unescape(text).split())


def _seat(dealer: Dealer | None, name: str, role: RoleName, licence: GasLicence | None = None) -> Seat:
    person = create_person(username=name, name=name.title(), roles=[role], dealer=dealer, licence=licence)
    client = Client()
    client.force_login(person)
    return Seat(client, person)


@pytest.fixture
def counter(tallis_bridge: Dealer, clock: Clock) -> Seat:
    return _seat(tallis_bridge, "otto", RoleName.COUNTER)


@pytest.fixture
def manager(tallis_bridge: Dealer, clock: Clock) -> Seat:
    return _seat(tallis_bridge, "mara", RoleName.SERVICE_MANAGER)


def newest(*known: Check) -> Check:
    """The latest check besides those; the clock stands still, so it cannot tell two apart."""
    found: Check = Check.objects.exclude(pk__in=[check.pk for check in known]).latest("checked_at")
    return found


@pytest.mark.parametrize("path", ["/counter/", "/counter/describe/", "/today/", "/approvals/"])
def test_a_page_is_for_those_signed_in_and_leads_back_to_itself(tallis_bridge: Dealer, path: str) -> None:
    response = Client().get(path)

    assert response.status_code == 302
    assert response.headers["Location"] == f"/sign-in/?next={path}"


def test_somebody_of_no_dealership_is_told_so(tallis_bridge: Dealer) -> None:
    editor = _seat(None, "edda", RoleName.CATALOGUE_EDITOR)

    assert "your account to none" in editor.see("/counter/", status=403)


def test_a_check_of_another_dealership_is_not_there(counter: Seat, weir_lane: Dealer) -> None:
    counter.ask("4475", "Genset South")
    stranger = _seat(weir_lane, "wim", RoleName.COUNTER)
    address = f"/counter/{newest().pk}/"

    stranger.see(address, status=404)
    for act in ("told/", "ask-approval/", "approve/", "decline/"):
        assert stranger.client.post(f"{address}{act}", {"note": "x", "why": "x"}).status_code == 404
    assert "Genset South" not in stranger.see("/counter/")
    assert "4475" not in stranger.see("/today/")


def test_the_page_says_what_the_interface_says(counter: Seat, desk: Desk) -> None:
    page = counter.ask("4470", "Genset South")
    answer = desk.get(f"/checks/{newest().pk}/").json()

    assert answer["verdict"] == "rejected"
    assert "Do not use" in page
    assert answer["headline"] in page
    for finding in answer["findings"]:
        if finding["effect"] != "not_asked":
            assert finding["text"] in page
    for caution in answer["cautions"]:
        assert caution["text"] in page


def test_enter_pressed_twice_records_one_check_and_asking_anew_another(counter: Seat) -> None:
    form = {"number": "4475", "machine": "Genset South", "once": "1f1e"}
    before = Check.objects.count()

    first = counter.client.post("/counter/", form)
    second = counter.client.post("/counter/", form)
    changed = counter.client.post("/counter/", {**form, "number": "4470"})

    assert first.headers["Location"] == second.headers["Location"] != changed.headers["Location"]
    assert Check.objects.count() == before + 2


def test_a_faulty_field_is_told_beside_it_and_what_was_typed_stays(counter: Seat) -> None:
    response = counter.client.post(
        "/counter/", {"number": "4475", "machine": "Genset South", "position": "left ear", "quantity": "many"}
    )
    page = response.content.decode()

    assert response.status_code == 200
    assert 'id="quantity-fault"' in page
    assert 'value="left ear"' in page
    assert 'value="many"' in page
    assert not Check.objects.filter(asked_by="Otto").exists()


def test_a_position_that_the_engine_has_not_is_told_beside_its_field(counter: Seat) -> None:
    page = counter.client.post("/counter/", {"number": "4475", "machine": "Genset South", "position": "left ear"})

    assert 'id="position-fault"' in page.content.decode()
    assert re.findall(r'<input id="(\w+)"[^>]* autofocus', page.content.decode()) == ["position"]
    assert 'value="left ear"' in page.content.decode()


def test_a_spark_plug_for_a_diesel_is_refused_on_page_and_slip(counter: Seat) -> None:
    page = counter.ask("VRD 4410-12", "Pump 3")
    assert "Do not use" in page
    assert "this engine burns diesel (found 2026-01-12). No position of OLM-K55 D-30A takes such a part." in page
    assert counter.client.get(f"/api/v1/checks/{newest().pk}/slip.pdf").status_code == 200


def test_a_part_of_another_thread_is_asked_through_an_adapter(counter: Seat) -> None:
    alone = counter.ask("TSK L-616", "Truck 7")
    assert "Do not use" in alone
    assert "Connection (inlet)" in alone
    page = counter.ask("TSK L-616", "Truck 7", adapter="J-440")
    assert "Use it only if" in page
    assert "The joint is made with TSK J-440 and leak-tested." in page
    assert "Asked with TSK J-440 as adapter." in page
    assert "Adapter TSK J-440: Maximum pressure: 500 psi gauge" in page
    assert "enclosure rating in dust" in page.lower()
    assert "Adapter TSK J-441: Maximum pressure" in counter.ask("TSK L-616", "Truck 7", adapter="J-441")
    open_ = counter.ask("TSK L-616", "Truck 7", adapter="J-443")
    assert "What is the connection at each end of TSK J-443?" in open_
    assert "J-499" in counter.ask("TSK L-616", "Truck 7", adapter="J-499")


@pytest.mark.parametrize("typed", ["two", "0", "10001", "-1", "1.5", "\u0663", "9" * 5_000, "\0"])
def test_a_count_that_is_none_is_told_beside_its_field(counter: Seat, typed: str) -> None:
    page = counter.client.post("/counter/", {"number": "4475", "machine": "Genset South", "quantity": typed})

    assert page.status_code == 200
    assert "Type a whole number from 1 to 10000" in page.content.decode()
    assert not Check.objects.filter(asked_by="Otto").exists()


@pytest.mark.parametrize(
    "typed",
    [
        {"chosen_part": "9" * 5_000},
        {"chosen_part": "\u00b2"},
        {"machine": "x" * 100_000},
        {"chosen_machine": "x" * 100_000},
    ],
)
def test_what_no_browser_sends_is_an_answer_in_words_too(counter: Seat, typed: dict[str, str]) -> None:
    page = counter.client.post("/counter/", {"number": "4475", "machine": "Genset South", **typed}, follow=True)

    assert page.status_code == 200


def test_a_machine_that_nobody_knows_is_told_and_of_several_one_is_chosen(counter: Seat) -> None:
    unknown = counter.ask("4475", "Genset West")
    several = counter.ask("4475", "Genset")
    chosen = Machine.objects.get(name="Genset South")
    page = counter.ask("4475", "Genset", chosen_machine=str(chosen.pk))

    assert "No machine of yours has 'Genset West' in its name or serial." in unknown
    assert "Genset North" in several
    assert "Genset South" in several
    assert "Use it only if" in page


def test_nothing_is_picked_silently(counter: Seat) -> None:
    page = counter.ask("4410", "Truck 7")

    assert "Which one is in the hand?" in page
    assert not Check.objects.filter(asked_by="Otto").exists()


def test_a_number_that_nothing_answers_to_leads_to_describing_the_part(counter: Seat, desk: Desk) -> None:
    page = counter.ask("zz nothing 9", "Truck 7")

    assert "Describe the part instead" in page
    assert "zz nothing 9" in {miss["text"] for miss in desk.get("/misses/").json()["results"]}


def test_what_is_told_of_a_machine_is_on_its_record_and_the_question_asked_again(counter: Seat) -> None:
    counter.ask("4410-07", "Truck 2")
    asked = newest()
    fact = {"f0": ["lpg_liquid"], "f0_mode": "only_fuel"}

    page = counter.send(f"/counter/{asked.pk}/told/", fact)

    (record,) = Machine.objects.get(name="Truck 2").fuel_records.all()
    assert (record.fuels, record.mode, record.by, record.conversion_paper) == (
        ["lpg_liquid"],
        "only_fuel",
        "Otto",
        False,
    )
    assert asked.verdict == "undetermined"
    assert "Do not use" in page
    assert newest(asked).verdict == "rejected"


def test_enter_pressed_twice_puts_one_fuel_record_on_file(counter: Seat) -> None:
    counter.ask("4410-07", "Truck 2")
    asked = newest()
    form = {"f0": ["lpg_liquid"], "f0_mode": "only_fuel", "once": "2b2c"}

    first, second = (counter.client.post(f"/counter/{asked.pk}/told/", form) for _ in range(2))

    assert first.headers["Location"] == second.headers["Location"]
    assert Machine.objects.get(name="Truck 2").fuel_records.count() == 1


def test_what_is_too_long_to_be_kept_is_told_and_never_cut(counter: Seat, manager: Seat) -> None:
    counter.ask("4475", "Genset South")
    address = f"/counter/{newest().pk}/"
    counter.send(f"{address}ask-approval/", {"note": "tonight"})

    declined = manager.send(f"{address}decline/", {"why": "n" * 501})
    approved = manager.send(f"{address}approve/", {"reason": "r" * 1001, "until": "2026-12-31"})

    assert "501 characters; at most 500 are kept." in declined
    assert "1001 characters; at most 1000 are kept." in approved
    assert ApprovalRequest.objects.get().declined_at is None


def test_a_fuel_ticked_without_saying_whether_it_is_the_only_one_is_asked_and_nothing_recorded(counter: Seat) -> None:
    counter.ask("4410-07", "Truck 2")

    page = counter.send(f"/counter/{newest().pk}/told/", {"f0": ["lpg_liquid"]})

    assert "Say whether it is the only fuel it can burn now" in page
    assert not Machine.objects.get(name="Truck 2").fuel_records.exists()


def test_answering_nothing_is_told(counter: Seat) -> None:
    counter.ask("4410-07", "Truck 2")

    assert "Answer at least one of the questions." in counter.send(f"/counter/{newest().pk}/told/", {})


def test_without_a_machine_the_answer_asks_for_the_engine(counter: Seat) -> None:
    page = counter.ask("4475", "")
    again = counter.send(f"/counter/{newest().pk}/told/", {"f0": "Genset South"})

    assert "Cannot tell" in page
    assert "Which engine is it for" in page
    assert "Use it only if" in again


def test_an_engine_that_is_not_on_file_is_named_by_its_plate_and_its_fuel_asked(counter: Seat) -> None:
    plate = {"model": "VRD-H40", "spec": "S-131", "serial": "131077"}
    page = counter.ask("4410-12", "", **plate)
    asked = newest()
    facts = [fact["fact"] for fact in json.loads(asked.answer)["missing"]]
    told = {f"f{facts.index('fuel as-found')}": ["lpg_liquid"], f"f{facts.index('fuel as-found')}_mode": "only_fuel"}

    counter.send(f"/counter/{asked.pk}/told/", told)

    assert "Cannot tell" in page
    assert json.loads(newest(asked).question)["application"]["serial"] == "131077"
    assert newest(asked).verdict in ("accepted", "conditional")


def test_a_machine_and_an_engine_by_its_plate_are_not_both_taken(counter: Seat) -> None:
    plate = {"model": "VRD-H40", "spec": "S-131"}

    assert "not both" in counter.ask("4410-12", "Truck 7", **plate)
    assert "Both stand on the plate" in counter.ask("4410-12", "", model="VRD-H40")
    assert "A serial alone names no engine" in counter.ask("4410-12", "", serial="131077")
    assert (
        'id="model-fault"'
        in counter.client.post("/counter/", {"number": "4410-12", "model": "VRD-H40", "spec": "S-999"}).content.decode()
    )


def test_of_several_branches_the_one_chosen_is_asked_and_remembered(counter: Seat, tallis_bridge: Dealer) -> None:
    Branch.objects.create(dealer=tallis_bridge, code="quay", name="Quay Side", zone="Europe/Paris", currency="USD")

    there = counter.ask("4475", "Genset South", branch="quay")
    again = counter.ask("4470", "Genset South")

    assert "at Quay Side" in there
    assert "at Quay Side" in again


def test_a_described_part_is_asked_for_what_matters_and_a_measure_may_be_typed_with_a_comma(counter: Seat) -> None:
    form = {"category": "spark_plug", "maker_text": "no name", "number_text": "77", "machine": "Genset South"}
    page = counter.send("/counter/describe/", form)
    described = newest()
    questions = {fact["fact"]: at for at, fact in enumerate(json.loads(described.answer)["missing"])}

    gap = questions["candidate: electrode gap"]
    wrong = counter.send(f"/counter/{described.pk}/told/", {f"f{gap}": "half", f"f{gap}_unit": "mm"})
    counter.send(f"/counter/{described.pk}/told/", {f"f{gap}": "0,5", f"f{gap}_unit": "mm", f"f{gap}_how": "measured"})

    assert "Cannot tell" in page
    assert described.verdict == "undetermined"
    assert "'half'" in wrong
    (told,) = json.loads(newest(described).question)["facts"]
    assert told == {
        "about": "candidate", "attribute": "gap", "value": {"value": "0.5", "unit": "mm"}, "how": "measured",
    }  # fmt: skip


def test_what_is_told_of_a_position_that_nobody_typed_is_heard(counter: Seat, desk: Desk) -> None:
    """Common practice, no source: the position was found by the part, and its code need not be known to answer."""
    positions = [{"code": "pulley_belt", "category": "belt", "quantity": 1}]
    desk.made("/engine-specs/", {"maker": "OLM", "model": "OLM-T1", "spec": "1", "positions": positions})
    desk.made("/machines/", {"name": "Bench", "spec": {"model": "OLM-T1", "spec": "1"}})
    counter.send("/counter/describe/", {"category": "belt", "number_text": "77", "machine": "Bench"})
    asked = newest()
    questions = questions_of(asked, json.loads(asked.answer), rulebook_of(asked))
    at, need = next((place, one) for place, one in enumerate(questions) if one.about == "position" and one.choices)
    counter.send(f"/counter/{asked.pk}/told/", {f"f{at}": need.choices[0][0], f"f{at}_how": "label"})
    told = json.loads(newest(asked).question)
    assert (json.loads(asked.question).get("position"), told["position"]) == (None, "pulley_belt")
    assert [(fact["about"], fact["attribute"]) for fact in told["facts"]] == [("position", need.attribute)]


def test_units_are_switched_for_the_page_and_remembered(counter: Seat) -> None:
    counter.ask("4475", "Genset South")
    address = f"/counter/{newest().pk}/"

    given, switched, later = counter.see(address), counter.see(f"{address}?units=us"), counter.see(address)

    assert "0.5 mm" in given
    assert "0.5 mm" not in switched
    assert switched == later


def test_the_day_of_a_check_lists_it_and_the_next_day_does_not(counter: Seat, clock: Clock) -> None:
    counter.ask("4475", "Genset South")
    today = counter.see("/today/")
    day = newest().checked_at.date()

    clock.at(f"{(day + timedelta(days=1)).isoformat()}T09:00+01:00")

    assert "TSK 4475" in today
    assert "Nothing was asked yet today" in counter.see("/today/")
    assert "TSK 4475" in counter.see(f"/today/?day={day.isoformat()}")
    for none in ("no-day", "0001-01-01", "9999-12-31"):
        assert "Nothing was asked yet today" in counter.see(f"/today/?day={none}")


def test_what_the_counter_may_not_approve_it_asks_for_once(counter: Seat, manager: Seat) -> None:
    counter.ask("4475", "Genset South")
    address = f"/counter/{newest().pk}/"

    silent = counter.send(f"{address}ask-approval/", {"note": "  "})
    counter.send(f"{address}ask-approval/", {"note": "runs <tonight>"})
    twice = counter.send(f"{address}ask-approval/", {"note": "again"})
    forbidden = counter.send(f"{address}approve/", {"reason": "mine", "until": "2026-12-31"})
    waiting = manager.see("/approvals/")

    assert "Say what it is wanted for" in silent
    assert "asked for already" in twice
    assert "Otto" in forbidden
    assert ApprovalRequest.objects.get().note == "runs <tonight>"
    assert "runs <tonight>" in waiting
    assert "TSK 4475" in waiting


def test_declining_needs_the_role_and_a_reason_and_is_told_to_whoever_asked(counter: Seat, manager: Seat) -> None:
    counter.ask("4475", "Genset South")
    address = f"/counter/{newest().pk}/"
    counter.send(f"{address}ask-approval/", {"note": "tonight"})

    own = counter.send(f"{address}decline/", {"why": "no"})
    empty = manager.send(f"{address}decline/", {"why": ""})
    manager.send(f"{address}decline/", {"why": "no paper"})

    assert "has not that role" in own
    assert "Say why not" in empty
    assert "no paper" in counter.see(address)
    assert "Nothing waits" in manager.see("/approvals/")


def test_a_manager_approves_from_the_page_and_the_page_then_says_so(manager: Seat, counter: Seat, desk: Desk) -> None:
    machine = desk.get("/machines/?name=Genset%20South").json()["results"][0]["id"]
    body = {"fuels": ["lpg_vapour"], "mode": "only_fuel", "found_on": "2024-05-06", "conversion_paper": False,
            "confirmed_by": {"name": "A. Tarle", "licence": "G-1", "area": "gas", "expires": "2027-01-01",
                             "on": "2026-03-01"}}  # fmt: skip
    desk.made(f"/machines/{machine}/fuel-records/", body)
    counter.ask("4475", "Genset South")
    address = f"/counter/{newest().pk}/"

    undated = manager.send(f"{address}approve/", {"reason": "paper seen", "until": ""})
    page = manager.send(f"{address}approve/", {"reason": "paper seen", "until": "2026-12-31"})

    assert "Give the last day" in undated
    assert "Approved by Mara" in page
    assert "Approved by Mara" in counter.see(address)


def test_names_are_shown_as_they_are_whatever_their_script(counter: Seat) -> None:
    Machine.objects.filter(name="Genset South").update(name="<b>مولد الجنوب</b>")

    response = counter.client.post("/counter/", {"number": "4475", "machine": "<b>مولد الجنوب</b>"}, follow=True)

    assert "<bdi>&lt;b&gt;مولد الجنوب&lt;/b&gt;</bdi>" in response.content.decode()
    assert "<b>مولد" not in response.content.decode()


def test_an_answer_asked_by_a_key_has_a_page_too(counter: Seat, desk: Desk) -> None:
    asked = desk.answer(demo_question("rejected"))

    assert asked["headline"] in counter.see(f"/counter/{asked['id']}/")


def test_signing_in_with_a_wrong_password_says_nothing_of_who_exists(tallis_bridge: Dealer) -> None:
    create_person(username="ida", name="Ida", roles=[], dealer=tallis_bridge, password="a long pass phrase")
    pages = [
        Client().post("/sign-in/", {"username": name, "password": "wrong"}).content.decode().replace(name, "")
        for name in ("ida", "nobody")
    ]
    token = re.compile(r'name="csrfmiddlewaretoken" value="\w+"')

    assert token.sub("", pages[0]) == token.sub("", pages[1])
    assert "do not belong together" in pages[0]


def test_signing_in_leads_on_only_within_the_house(tallis_bridge: Dealer) -> None:
    create_person(username="ida", name="Ida", roles=[], dealer=tallis_bridge, password="a long pass phrase")
    form = {"username": "ida", "password": "a long pass phrase"}

    inside = Client().post("/sign-in/?next=/today/", {**form, "next": "/today/"})
    outside = Client().post("/sign-in/", {**form, "next": "https://elsewhere.example/"})

    assert inside.headers["Location"] == "/today/"
    assert outside.headers["Location"] == "/"


def test_what_is_not_there_is_a_page_in_plain_words(counter: Seat) -> None:
    assert "There is no such page" in counter.see("/no-such-page/", status=404)
