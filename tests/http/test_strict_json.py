import json
from contextlib import suppress
from typing import Any

import pytest
from django.test import Client
from hypothesis import given
from hypothesis import strategies as st

from service.errors import Problems
from service.http import strict_json

pytestmark = pytest.mark.domain

WORDS = st.text(st.characters(exclude_characters="\0", exclude_categories=["Cs"]), max_size=50)
PLAIN = st.recursive(
    st.none()
    | st.booleans()
    | st.integers(-(2**63) + 1, 2**63 - 1)
    | st.floats(allow_nan=False, allow_infinity=False)
    | WORDS,
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(WORDS, inner, max_size=4),
    max_leaves=20,
)


def posted(client: Client, raw: bytes, path: str = "/api/raw/") -> tuple[int, dict[str, Any]]:
    response = client.post(path, raw, content_type="application/json")
    return response.status_code, response.json()


@given(PLAIN)
def test_whatever_json_can_hold_is_read_as_it_was_written(value: Any) -> None:
    assert strict_json.read(json.dumps(value).encode()) == value
    assert strict_json.read(json.dumps(value, ensure_ascii=False).encode()) == value


@given(st.binary(max_size=60) | PLAIN.map(lambda value: json.dumps(value).encode()[:-1]))
def test_any_bytes_are_read_or_refused_and_nothing_else(raw: bytes) -> None:
    try:
        json.loads(raw.decode())
    except (UnicodeDecodeError, json.JSONDecodeError):
        with pytest.raises(strict_json.Malformed):
            strict_json.read(raw)
    else:
        with suppress(Problems):
            strict_json.read(raw)


@pytest.mark.parametrize(
    ("raw", "pointer", "code"),
    [
        (b'{"a": NaN}', "#/a", "not_a_number"),
        (b'{"a": [1, -Infinity]}', "#/a/1", "not_a_number"),
        (b"Infinity", "#", "not_a_number"),
        (b'{"a": {"b/c": "\\ud800"}}', "#/a/b~1c", "lone_surrogate"),
        (b'{"\\udfff": 1}', "#/?", "lone_surrogate"),
        (b'{"a": "x\\u0000"}', "#/a", "null_character"),
        (b'{"a": {"b": 1, "b": 2}}', "#/a/b", "repeated_name"),
        (b'{"a": 1e999}', "#/a", "number_too_large"),
        (b'{"a": 9223372036854775808}', "#/a", "number_too_large"),
        (b'{"a": ' + b"9" * 5000 + b"}", "#/a", "number_too_large"),
        (b'{"m~n": "' + b"x" * 10_001 + b'"}', "#/m~0n", "string_too_long"),
        (b'{"' + b"x" * 201 + b'": {"a": NaN}}', "#/" + "x" * 200, "name_too_long"),
        (b"[" * 33 + b"]" * 33, "#" + "/0" * 32, "too_deep"),
    ],
)
def test_what_strict_json_does_not_have_is_refused_at_its_pointer(
    client: Client, raw: bytes, pointer: str, code: str
) -> None:
    status, body = posted(client, raw)
    assert (status, body["type"]) == (400, "/problems/invalid/")
    assert [(error["pointer"], error["code"]) for error in body["errors"]] == [(pointer, code)]


@pytest.mark.parametrize(
    ("raw", "word"),
    [
        (b'{"a": 1', "line 1, column"),
        (b'{"a": "\xff"}', "Byte 7"),
        (b'{"a": "\xed\xa0\x80"}', "UTF-8"),
        ("{}".encode("utf-16"), "UTF-8"),
        (b"\xef\xbb\xbf{}", "BOM"),
        (b'{"a": 01}', "column"),
        (b"{'a': 1}", "column"),
        (b"[1,]", "column"),
        (b"[" * 200_000, "32 levels"),
        (b" ", "column"),
    ],
)
def test_what_is_no_json_is_refused_with_the_place(client: Client, raw: bytes, word: str) -> None:
    status, body = posted(client, raw)
    assert (status, body["type"]) == (400, "/problems/malformed/")
    assert word in body["detail"]


def test_everything_wrong_with_a_body_is_told_at_once(client: Client) -> None:
    raw = b'{"a": NaN, "b": ["\\udc00", {"c": 1e400}], "d": 1, "d": 2}'
    _, body = posted(client, raw)
    assert [error["pointer"] for error in body["errors"]] == ["#/a", "#/b/0", "#/b/1/c", "#/d"]


def test_the_limits_themselves_are_taken(client: Client) -> None:
    raw = json.dumps({"a": "x" * 10_000, "b": 2**63 - 1, "deep": eval("[" * 31 + "]" * 31)}).encode()  # noqa: S307
    assert posted(client, raw)[0] == 200


class Unreadable:
    """A body that must not be looked at."""

    def read(self, *_size: int) -> bytes:
        raise AssertionError("The body was read.")

    readline = read


UNREADABLE: Any = {"wsgi.input": Unreadable()}


def test_a_body_of_ten_megabytes_is_refused_before_it_is_read(client: Client) -> None:
    raw = b'{"a": "' + b"x" * 10_000_000 + b'"}'
    response = client.post("/api/raw/", raw, content_type="application/json", **UNREADABLE)
    assert (response.status_code, response.json()["type"]) == (413, "/problems/content-too-large/")
    assert "1000000" in response.json()["detail"]


def test_a_view_may_take_more(client: Client) -> None:
    raw = json.dumps(["x" * 9_000] * 200).encode()
    assert posted(client, raw)[0] == 413
    assert posted(client, raw, "/api/raw/roomy/")[0] == 200


def test_the_limits_are_settings(client: Client, settings: Any) -> None:
    settings.HTTP_MAX_BODY_BYTES = 30
    settings.HTTP_MAX_STRING = 5
    assert posted(client, b'{"a": "123456"}')[1]["errors"][0]["code"] == "string_too_long"
    assert posted(client, b'{"a": "1234567890", "b": "12345678"}')[0] == 413


def test_a_body_full_of_faults_gets_an_answer_of_bounded_size(client: Client) -> None:
    status, body = posted(client, b'{"' + b"k" * 200 + b'": [' + b",".join([b"NaN"] * 100_000) + b"]}")
    assert status == 400
    assert len(body["errors"]) == 1_000


def test_a_merge_patch_is_an_object(client: Client) -> None:
    def patched(raw: bytes) -> Any:
        return client.patch("/api/raw/", raw, content_type="application/merge-patch+json").json()

    assert patched(b'{"a": null}') == {"got": {"a": None}}
    assert patched(b"[1]")["errors"][0]["code"] == "not_an_object"


def test_another_media_type_is_refused_with_those_taken(client: Client) -> None:
    response = client.post("/api/raw/", b"a=1", content_type="application/x-www-form-urlencoded")
    assert response.status_code == 415
    assert "application/json" in response.json()["detail"]
