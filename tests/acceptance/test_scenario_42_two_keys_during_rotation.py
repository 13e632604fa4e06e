"""Tallis Bridge changes its key: both let in while its tills are changed over, and then only the new one."""

from io import StringIO

import pytest
from django.core.management import CommandError, call_command
from django.test import Client

from tests.api.world import Desk
from tests.desks import Clock

pytestmark = pytest.mark.db


def id8_of(desk: Desk) -> str:
    return desk.key.split("_")[2]


@pytest.fixture
def new(desk: Desk, clock: Clock) -> Desk:
    """The desk with the key that is to take the old one's place."""
    call_command("limit_key", id8_of(desk), "--calls", "60", stdout=StringIO())
    out, told = StringIO(), StringIO()
    call_command("rotate_key", id8_of(desk), stdout=out, stderr=told)
    assert f"revoke_key {id8_of(desk)}" in told.getvalue()
    return Desk(Client(raise_request_exception=False), out.getvalue().strip())


def test_scenario_42_once_the_old_key_is_revoked_only_the_new_one_works(desk: Desk, new: Desk) -> None:
    assert new.key.startswith("gudgeon_live_")
    assert new.key != desk.key
    assert [side.get("/checks/").status_code for side in (desk, new)] == [200, 200]
    call_command("revoke_key", id8_of(desk), stdout=StringIO())
    refused = desk.get("/checks/")
    assert (refused.status_code, refused.json()["type"]) == (401, "/problems/key-revoked/")
    assert new.get("/checks/").status_code == 200


def test_scenario_42_the_new_key_may_do_what_the_old_one_may_within_the_same_limit(desk: Desk, new: Desk) -> None:
    tags = [side.get("/checks/").headers["RateLimit-Policy"] for side in (desk, new)]
    assert tags == ['"key";q=60;w=60'] * 2
    assert new.post("/machines/", {}).status_code == desk.post("/machines/", {}).status_code == 400


def test_scenario_42_the_list_shows_both_by_name_with_their_last_use(desk: Desk, new: Desk, clock: Clock) -> None:
    desk.get("/checks/")
    clock.at("2026-03-09T10:20:00+01:00")
    call_command("revoke_key", id8_of(desk), stdout=StringIO())
    shown = StringIO()
    call_command("list_keys", "tallis-bridge", stdout=shown)
    lines = {line[:8]: line for line in shown.getvalue().splitlines()}
    assert "counter" in lines[id8_of(desk)]
    assert "2026-03-09 09:15" in lines[id8_of(desk)]
    assert lines[id8_of(desk)].endswith("revoked 2026-03-09 09:20")
    assert "never" in lines[id8_of(new)]
    assert lines[id8_of(new)].endswith("lets in")
    assert not any(side.key in shown.getvalue() for side in (desk, new))


def test_scenario_42_a_revoked_key_has_no_successor(desk: Desk) -> None:
    call_command("revoke_key", id8_of(desk), stdout=StringIO())
    with pytest.raises(CommandError, match="was revoked; issue a new one"):
        call_command("rotate_key", id8_of(desk))
