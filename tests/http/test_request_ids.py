import logging
import re

import pytest
from django.test import Client
from hypothesis import given
from hypothesis import strategies as st

from service.http.request_ids import RequestIdFilter, current_trace_id, trace_id_from

pytestmark = pytest.mark.domain

TRACE = "4bf92f3577b34da6a3ce929d0e0e4736"
HEX = "0123456789abcdef"


def test_a_valid_traceparent_gives_the_request_its_id(client: Client) -> None:
    response = client.get("/api/echo/", headers={"traceparent": f"00-{TRACE}-00f067aa0ba902b7-01"})
    assert response.headers["X-Request-Id"] == TRACE


@pytest.mark.parametrize(
    "header",
    [
        "",
        TRACE,
        f"00-{TRACE.upper()}-00f067aa0ba902b7-01",
        f"00-{'0' * 32}-00f067aa0ba902b7-01",
        f"00-{TRACE}-{'0' * 16}-01",
        f"ff-{TRACE}-00f067aa0ba902b7-01",
        f"00-{TRACE}-00f067aa0ba902b7-01-more",
        f"00-{TRACE}-00f067aa0ba902b7-1",
        f" 00-{TRACE}-00f067aa0ba902b7-01\n",
    ],
)
def test_any_other_header_is_passed_over_and_a_new_id_made(client: Client, header: str) -> None:
    ids = {client.get("/api/echo/", headers={"traceparent": header}).headers["X-Request-Id"] for _ in range(2)}
    assert len(ids) == 2
    assert all(re.fullmatch("[0-9a-f]{32}", found) and found != TRACE for found in ids)


def test_a_later_version_may_say_more() -> None:
    assert trace_id_from(f"01-{TRACE}-00f067aa0ba902b7-01-what-comes") == TRACE


@given(
    st.text(HEX, min_size=32, max_size=32), st.text(HEX, min_size=16, max_size=16), st.text(HEX, min_size=2, max_size=2)
)
def test_an_id_is_taken_exactly_when_neither_part_is_all_zeros(trace: str, parent: str, flags: str) -> None:
    whole = bool(trace.strip("0")) and bool(parent.strip("0"))
    assert trace_id_from(f"00-{trace}-{parent}-{flags}") == (trace if whole else None)


def test_what_is_logged_outside_of_a_request_has_no_id() -> None:
    record = logging.makeLogRecord({})
    assert RequestIdFilter().filter(record)
    assert record.__dict__["request_id"] == "-"
    assert current_trace_id() != current_trace_id()
