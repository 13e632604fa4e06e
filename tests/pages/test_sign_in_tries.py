"""How often a wrong password may be tried. Ten in ten minutes: common practice, no source."""

from __future__ import annotations

import itertools
import re
import secrets
from typing import Any

import pytest
from django.test import Client

from service.operations.models import Dealer
from service.operations.people import create_person
from tests.desks import Clock

pytestmark = pytest.mark.db

RIGHT, WRONG = "a long pass phrase", "a long pass phrase?"
PLACES = itertools.count()


def place() -> str:
    """An address from which nothing was tried yet; counts outlive a test, and the run before this one."""
    return f"fd{secrets.token_hex(1)}:{secrets.token_hex(2)}:{secrets.token_hex(2)}:{next(PLACES):x}::1"


@pytest.fixture
def ida(tallis_bridge: Dealer) -> str:
    name = f"ida.{secrets.token_hex(6)}"
    create_person(username=name, name="Ida", roles=[], dealer=tallis_bridge, password=RIGHT, email=f"{name}@a.example")
    return name


def sign_in(name: str, said: str = WRONG, at: str = "", **headers: str) -> Any:
    return Client().post("/sign-in/", {"username": name, "password": said}, REMOTE_ADDR=at or place(), headers=headers)


def test_after_ten_wrong_passwords_for_a_name_even_the_right_one_waits(ida: str, clock: Clock) -> None:
    answers = [sign_in(ida).status_code for _ in range(11)]
    clock.at("2026-03-09T10:18:30+01:00")
    held = sign_in(ida.upper(), RIGHT)
    clock.at("2026-03-09T10:25:00+01:00")
    after = sign_in(ida, RIGHT)

    assert answers == [200] * 10 + [429]
    assert held.status_code == 429
    assert "Try again in 7 minutes." in held.content.decode()
    assert held.headers["Retry-After"] == "420"
    assert after.status_code == 302


def test_names_that_nobody_answers_to_are_held_back_alike(ida: str, clock: Clock) -> None:
    token = re.compile(r'value="\w+"')
    pages = []
    for name in (ida, f"nobody.{ida}"):
        answers = [sign_in(name) for _ in range(11)]
        pages.append([(one.status_code, token.sub("", one.content.decode().replace(name, ""))) for one in answers])
    assert pages[0] == pages[1]


def test_an_address_that_tries_many_names_is_held_back_and_others_are_not(ida: str) -> None:
    here = place()
    answers = [sign_in(f"{number}.{ida}", at=here).status_code for number in range(11)]
    assert answers == [200] * 10 + [429]
    assert sign_in(ida, RIGHT, at=here).status_code == 429
    assert sign_in(ida, RIGHT, at=here.replace("::1", "::2")).status_code == 429, "its neighbour"
    assert sign_in(ida, RIGHT).status_code == 302


def test_right_passwords_are_no_tries(ida: str) -> None:
    here = place()
    assert [sign_in(ida, RIGHT, at=here).status_code for _ in range(12)] == [302] * 12
    assert [sign_in(ida, at=here).status_code for _ in range(11)] == [200] * 10 + [429]


def test_a_name_and_an_address_of_one_person_do_not_tell_that_they_belong_together(ida: str) -> None:
    for _ in range(10):
        sign_in(ida)
    assert sign_in(ida).status_code == 429
    assert sign_in(f"{ida}@a.example").status_code == 200


def test_behind_a_proxy_only_what_the_proxy_added_counts(ida: str, settings: Any) -> None:
    settings.BEHIND_PROXY = True
    proxy, here = place(), place()
    forged = [
        sign_in(f"{n}.{ida}", at=proxy, **{"X-Forwarded-For": f"{place()}, {here}"}).status_code for n in range(11)
    ]
    assert forged == [200] * 10 + [429]
    assert sign_in(ida, RIGHT, at=proxy, **{"X-Forwarded-For": place()}).status_code == 302
