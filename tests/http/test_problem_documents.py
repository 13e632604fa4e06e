from html import unescape
from typing import Any
from uuid import UUID

import pytest
from django.test import Client

from service.http import problem_types
from service.http.problem_documents import of_a_job
from service.http.problem_types import ProblemType

pytestmark = pytest.mark.domain


def told(client: Client, path: str) -> tuple[int, dict[str, Any]]:
    response = client.get(path)
    assert response.headers["Content-Type"] == "application/problem+json"
    body: dict[str, Any] = response.json()
    assert body["status"] == response.status_code
    assert body["instance"] == UUID(response.headers["X-Request-Id"]).urn
    assert "heron" not in response.content.decode()
    return response.status_code, body


@pytest.mark.parametrize(
    ("how", "status", "slug", "code"),
    [
        ("conflict", 409, "conflict", "conflict"),
        ("gone", 410, "gone", "gone"),
        ("stale", 412, "stale", "stale"),
        ("unprocessable", 422, "unprocessable", "unprocessable"),
        ("forbidden", 403, "forbidden", "forbidden"),
        ("django404", 404, "not-found", "not_found"),
        ("drf404", 404, "not-found", "not_found"),
        ("django403", 403, "forbidden", "forbidden"),
        ("throttled", 429, "too-many-requests", "too_many_requests"),
        ("too_big", 413, "content-too-large", "content_too_large"),
        ("suspicious", 400, "malformed", "malformed"),
        ("integrity", 409, "conflict", "conflict"),
        ("fault", 500, "internal-error", "internal_error"),
    ],
)
def test_each_error_is_told_as_its_problem_without_inner_words(
    client: Client, how: str, status: int, slug: str, code: str
) -> None:
    found, body = told(client, f"/api/fail/{how}/")
    assert (found, body["type"], body["code"]) == (status, f"/problems/{slug}/", code)
    assert body["title"]
    assert body["detail"]


def test_a_domain_error_keeps_its_code_its_words_its_pointer_and_its_context(client: Client) -> None:
    status, body = told(client, "/api/fail/domain/")
    assert (status, body["type"], body["code"]) == (404, "/problems/not-found/", "part_not_found")
    assert body["detail"] == "No part is numbered 'X'."
    assert body["errors"] == [{"pointer": "#/candidate", "code": "part_not_found", "detail": body["detail"]}]
    assert body["suggestions"] == [{"near": "1.50"}]


def test_context_never_replaces_a_member_of_the_document(client: Client) -> None:
    status, body = told(client, "/api/fail/smuggled/")
    assert (status, body["type"], body["kept_member"]) == (409, "/problems/conflict/", 1)


def test_several_field_problems_come_together(client: Client) -> None:
    _, body = told(client, "/api/fail/problems/")
    assert [(e["pointer"], e["code"]) for e in body["errors"]] == [("#/a/0", "gauge"), ("#", "empty")]


def test_a_problem_of_a_query_parameter_names_the_parameter(client: Client) -> None:
    _, body = told(client, "/api/fail/query/")
    assert body["errors"] == [{"parameter": "q", "code": "check_digit", "detail": "The check digit is 3."}]


def test_an_error_of_an_unheard_of_status_is_still_a_problem(client: Client) -> None:
    status, body = told(client, "/api/fail/teapot/")
    assert (status, body["type"], body["detail"]) == (418, "about:blank", "Short and stout.")


def test_a_throttled_asker_is_told_how_long_to_wait(client: Client) -> None:
    assert client.get("/api/fail/throttled/").headers["Retry-After"] == "7"


def test_a_method_not_done_names_those_that_are(client: Client) -> None:
    response = client.delete("/api/echo/")
    assert response.status_code == 405
    assert response.headers["Allow"] == "GET, POST, HEAD, OPTIONS"
    assert response.json()["type"] == "/problems/method-not-allowed/"


def test_a_form_not_to_be_had_is_refused_as_a_problem(client: Client) -> None:
    response = client.get("/api/echo/", headers={"Accept": "text/csv"})
    assert (response.status_code, response.headers["Content-Type"]) == (406, "application/problem+json")
    assert "application/json" in response.json()["detail"]


@pytest.mark.parametrize("path", ["/api/nowhere/", "/api/v9/parts/", "/api/echo", "/api/%00/", "/api/%ff/"])
def test_an_address_below_the_api_that_leads_nowhere_is_a_problem(client: Client, path: str) -> None:
    status, body = told(client, path)
    assert (status, body["type"]) == (404, "/problems/not-found/")


def test_elsewhere_errors_are_pages(client: Client) -> None:
    for path, status in (("/nowhere/", 404), ("/plain/fault/", 500), ("/plain/suspicious/", 400)):
        response = client.get(path)
        assert response.status_code == status
        assert response.headers["Content-Type"].startswith("text/html")


def test_every_type_leads_to_a_page_that_says_what_to_do(client: Client) -> None:
    index = client.get("/problems/").content.decode()
    for known in problem_types.every():
        page = client.get(known.uri)
        assert page.status_code == 200
        assert f"<h1>{known.title}</h1>" in unescape(page.content.decode())
        assert known.uri in index
    assert client.get("/problems/no-such/").status_code == 404


def test_a_slug_is_given_away_once() -> None:
    own = ProblemType("tests-own", 409, "Own", "Nothing.")
    problem_types.register(own)
    problem_types.register(own)
    assert problem_types.find("tests-own") == own
    with pytest.raises(RuntimeError, match="tests-own"):
        problem_types.register(ProblemType("tests-own", 400, "Other", "Nothing."))


def test_a_failed_jobs_problem_has_the_form_of_every_other() -> None:
    refused = {
        "code": "empty",
        "detail": "No rows.",
        "errors": [{"pointer": "/file", "code": "empty", "detail": "No."}],
    }
    told = of_a_job(refused)
    assert told is not None
    assert (told["type"], told["status"], told["code"]) == ("/problems/unprocessable/", 422, "empty")
    assert told["errors"][0]["pointer"] == "#/file"
    given_up = of_a_job({"code": "job_given_up", "detail": "It broke off."})
    assert given_up is not None
    assert given_up["type"] == "/problems/internal-error/"
    assert of_a_job(None) is None
