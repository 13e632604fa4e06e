"""Looking parts up over HTTP: what is found, why, in which order, and what is written down where nothing is."""

from __future__ import annotations

from typing import Any
from urllib.parse import urlencode

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from catalog import loading
from catalog.models import LookupMiss, Part, Status
from service.operations.models import Dealer, Scope
from tests.api.world import Desk

pytestmark = pytest.mark.db


def looked(desk: Desk, text: str, **more: Any) -> dict[str, Any]:
    response = asked(desk, text, **more)
    assert response.status_code == 200, response.content
    answer: dict[str, Any] = response.json()
    return answer


def asked(desk: Desk, text: str, tag: str = "", **more: Any) -> Any:
    sent = {"Authorization": f"Bearer {desk.key}", **({"If-None-Match": tag} if tag else {})}
    return desk.client.get("/api/v1/parts/lookup/", {"q": text, **more}, headers=sent)


def told(answer: dict[str, Any]) -> list[tuple[str, str]]:
    return [(f"{one['part']['maker']} {one['part']['number']}", one["matched_by"]) for one in answer["results"]]


def test_parts_are_shown_as_lists_show_them(desk: Desk) -> None:
    answer = looked(desk, "0021-460")
    (hit,) = answer["results"]
    (listed,) = desk.get("/parts/?maker=VRD&number=0021-460").json()["results"]
    assert hit["part"] == listed
    assert (hit["matched_by"], hit["note"], hit["rank"]) == ("exact", "this number exactly", 1)
    assert hit["pack_quantity"] is None
    assert answer["more"] is False
    assert answer["catalogue_version"] > 0


@pytest.mark.parametrize(
    ("typed", "note"),
    [
        ("0021-460 Rev C", "Rev C"),
        ("P/N 0021-460", "P/N"),
        ("0021-460 (2 pcs)", "(2 pcs)"),
        ("1P0021-460", "1P"),
        ("0021-460 x 2", "x 2"),
        ("oil filter 0021-460", "oil filter"),
    ],
)
def test_what_was_taken_off_is_said_and_the_text_is_given_back_as_it_came(desk: Desk, typed: str, note: str) -> None:
    answer = looked(desk, typed)
    assert answer["asked"] == typed
    assert told(answer)[0][0] == "VRD 0021-460"
    assert note in answer["results"][0]["note"]


def test_what_a_scanner_sends_behind_and_between_is_no_part_of_it(desk: Desk) -> None:
    """An end of line, and the separators of a label of several fields (ISO/IEC 15434, from memory)."""
    assert told(looked(desk, "0021-460\r\n")) == [("VRD 0021-460", "exact")]
    answer = looked(desk, "[)>\x1e06\x1d1P0021-460\x1dQ12\x1e\x04\r")
    assert told(answer) == [("VRD 0021-460", "exact")]
    assert answer["notes"][1] == "The label says a quantity of 12 (Q)."
    assert asked(desk, "0021\x07460").status_code == 400


def test_what_replaces_a_number_stands_behind_it_with_the_chain(desk: Desk) -> None:
    answer = looked(desk, "0021-440")
    assert told(answer) == [
        ("VRD 0021-440", "exact"), ("VRD 0021-450", "superseded"), ("VRD 0021-460", "superseded"),
    ]  # fmt: skip
    assert "VRD 0021-440 > VRD 0021-450 > VRD 0021-460" in answer["results"][2]["note"]


def test_numbers_that_replace_each_other_are_walked_once_and_told(desk: Desk) -> None:
    answer = looked(desk, "3300-1")
    assert told(answer)[:2] == [("VRD 3300-1", "exact"), ("VRD 3300-2", "superseded")]
    assert "catalogue error" in answer["results"][1]["note"]


def test_a_withdrawn_part_is_found_by_its_own_number_alone_and_says_what_replaces_it(desk: Desk) -> None:
    Part.objects.filter(maker__code="VRD", number="0021-440").update(status=Status.WITHDRAWN)
    loading.forget()
    (first, *_) = looked(desk, "0021440")["results"]
    assert first["part"]["status"] == "withdrawn"
    assert "withdrawn from the catalogue, replaced by VRD 0021-450" in first["note"]
    for other in ("0021-44", "OO21-44O", "0021-4400"):
        assert "VRD 0021-440" not in dict(told(looked(desk, other)))


def test_a_withdrawn_part_between_still_leads_on(desk: Desk) -> None:
    Part.objects.filter(maker__code="VRD", number="0021-450").update(status=Status.WITHDRAWN)
    loading.forget()
    answer = looked(desk, "0021-440")
    assert told(answer) == [("VRD 0021-440", "exact"), ("VRD 0021-460", "superseded")]
    assert [hit["rank"] for hit in answer["results"]] == [1, 2]


@pytest.mark.parametrize(
    ("typed", "expected"),
    [
        ("0021-46", ("VRD 0021-460", "prefix")),
        ("0021-640", ("VRD 0021-460", "one_edit")),
        ("0021-4660", ("VRD 0021-460", "one_edit")),
        ("021460", ("VRD 0021-460", "near_twin")),
        ("21-460", ("VRD 0021-460", "near_twin")),
        ("OLM 4410-12", ("VRD 4410-12", "contains")),
    ],
)
def test_guesses_are_marked_as_such(desk: Desk, typed: str, expected: tuple[str, str]) -> None:
    found = told(looked(desk, typed))
    assert expected in found
    assert not {way for _, way in found} & {"exact", "normalised", "barcode"}


def test_a_number_is_found_by_what_stands_inside_it(desk: Desk) -> None:
    assert ("VRD 0021-460", "contains") in told(looked(desk, "021-46"))


def test_a_part_is_found_by_the_beginnings_of_words_of_its_name(desk: Desk) -> None:
    hits = looked(desk, "FILT small", page_size=50)["results"]
    assert ("0022-100", "text") in [(hit["part"]["number"], hit["matched_by"]) for hit in hits]
    for hit in hits:
        words = hit["part"]["name"].lower().replace(",", " ").split()
        assert any(word.startswith("filt") for word in words)
        assert any(word.startswith("small") for word in words)


def test_twenty_hits_and_then_more(desk: Desk) -> None:
    answer, wide = looked(desk, "filter"), looked(desk, "filter", page_size=50)
    assert len(wide["results"]) > 20
    assert answer["more"] is True
    assert answer["results"] == wide["results"][:20]
    assert [hit["rank"] for hit in wide["results"]] == list(range(1, len(wide["results"]) + 1))
    assert wide["more"] is False


def test_a_case_is_scanned_and_says_how_many_are_in_it(desk: Desk) -> None:
    for scan in ("19520000021464", "]C10119520000021464", "0119520000021464\x1d10LOT7", "(01)19520000021464"):
        (hit,) = looked(desk, scan)["results"]
        assert (hit["part"]["number"], hit["matched_by"], hit["pack_quantity"]) == ("0021-460", "barcode", 12)


@pytest.mark.parametrize(
    ("sent", "parameter"),
    [
        ({}, "q"),
        ({"q": ""}, "q"),
        ({"q": " - "}, "q"),
        ({"q": "A" * 201}, "q"),
        ({"q": "a\x07b"}, "q"),
        ({"q": "0021", "page_size": "51"}, "page_size"),
        ({"q": "0021", "page_size": "0"}, "page_size"),
        ({"q": "0021", "limit": "5"}, "limit"),
    ],
)
def test_what_cannot_be_taken_is_refused_with_its_parameter(desk: Desk, sent: dict[str, str], parameter: str) -> None:
    response = desk.get(f"/parts/lookup/?{urlencode(sent)}")
    assert response.status_code == 400
    assert [error["parameter"] for error in response.json()["errors"]] == [parameter]


def test_a_key_that_may_not_read_the_catalogue_looks_nothing_up(tallis_bridge: Dealer) -> None:
    assert Desk.of(tallis_bridge, scopes=[Scope.JOBS_READ]).get("/parts/lookup/?q=0021").status_code == 403


def test_the_answer_is_known_until_the_catalogue_changes(desk: Desk) -> None:
    first = asked(desk, "0021-460")
    tag = first.headers["ETag"]
    assert asked(desk, "0021-460", tag).status_code == 304
    assert asked(desk, "0021-450", tag).status_code == 200
    assert asked(desk, "0021-460", tag, page_size=5).status_code == 200
    part = first.json()["results"][0]["part"]["id"]
    desk.changed(f"/parts/{part}/", {"name": "oil filter, tall"})
    assert asked(desk, "0021-460", tag).json()["results"][0]["part"]["name"] == "oil filter, tall"


def test_a_changed_name_is_found_by_its_new_words_and_no_more_by_the_old(desk: Desk) -> None:
    part = Part.objects.get(maker__code="VRD", number="2051")
    desk.changed(f"/parts/{part.pk}/", {"name": "Quincunx element"})
    assert told(looked(desk, "quincu elem")) == [("VRD 2051", "text")]
    desk.changed(f"/parts/{part.pk}/", {"name": "air element"})
    assert told(looked(desk, "quincu elem")) == []


def test_nothing_found_says_what_was_tried_and_is_counted_once_a_number(desk: Desk) -> None:
    answer = looked(desk, "ZZ-99.817 Rev C")
    assert answer["results"] == []
    assert any(note.startswith("Tried: number ZZ-99.817") for note in answer["notes"])
    response = asked(desk, "zz 99817 rev c")
    assert "ETag" not in response.headers
    (miss,) = LookupMiss.objects.all()
    assert (miss.text, miss.count) == ("ZZ-99.817 Rev C", 2)
    assert miss.first_seen < miss.last_seen


def test_what_was_found_or_misread_is_no_miss(desk: Desk) -> None:
    for text in ("0021-460", "OO21-46O", "9520000021468"):
        asked(desk, text)
    assert not LookupMiss.objects.exists()


def test_a_scan_of_a_code_nobody_has_is_a_miss_that_can_be_read(desk: Desk) -> None:
    assert looked(desk, "]C10109520000044121\x1d10LOT7")["results"] == []
    (miss,) = LookupMiss.objects.all()
    assert miss.text == "]C10109520000044121 10LOT7"


def test_a_dealer_sees_its_own_misses_and_an_editor_all(tallis_bridge: Dealer, other_desk: Desk) -> None:
    reader = Desk.of(tallis_bridge, scopes=[Scope.CATALOGUE_READ])
    looked(reader, "ZZ-1234567")
    looked(other_desk, "YY-7654321")
    assert [row["text"] for row in reader.get("/misses/").json()["results"]] == ["ZZ-1234567"]
    page = other_desk.get("/misses/?page_size=1").json()
    assert [row["text"] for row in page["results"]] == ["YY-7654321"]
    second = other_desk.get(page["next"].partition("/api/v1")[2]).json()
    assert [row["text"] for row in second["results"]] == ["ZZ-1234567"]
    assert reader.get("/misses/?dealer=weir-lane").status_code == 400


@pytest.mark.parametrize(
    ("typed", "statements"),
    [
        ("0021-460", 6),  # what holds; barcodes; first keys; replacing; the parts shown; the key that asks
        ("0021-440", 7),  # and what replaces it
        ("0021-46", 6),  # further keys instead of replacing
        ("quite unknown words", 5),
    ],
)
def test_a_look_up_takes_few_statements_whatever_is_found(desk: Desk, typed: str, statements: int) -> None:
    looked(desk, "2051")  # the makers are known then
    with CaptureQueriesContext(connection) as captured:
        looked(desk, typed)
    reads = [one["sql"] for one in captured.captured_queries if one["sql"].lstrip().startswith(("SELECT", "WITH"))]
    assert len(reads) == statements, reads


@pytest.mark.parametrize("sent", ["%ED%A0%80", "0021%FF460"])
def test_a_query_that_is_no_text_is_refused_and_not_searched_for_as_something_else(desk: Desk, sent: str) -> None:
    response = desk.get(f"/parts/lookup/?q={sent}")
    assert response.status_code == 400
    assert [(fault["parameter"], fault["code"]) for fault in response.json()["errors"]] == [("q", "not_utf8")]


def test_the_start_and_stop_of_a_code_39_scan_are_no_part_of_the_number(desk: Desk) -> None:
    found = desk.get("/parts/lookup/?q=*0021-460*").json()
    assert [hit["part"]["number"] for hit in found["results"]] == ["0021-460"]
    assert 'read without the "*" of a scanner' in found["results"][0]["note"] + " ".join(found["notes"])
