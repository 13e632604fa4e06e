import hashlib
from datetime import datetime, timedelta
from io import StringIO

import pytest
from django.core.management import CommandError, call_command
from django.db import IntegrityError, transaction
from pytest_django import DjangoAssertNumQueries

from service.errors import Problems
from service.operations.keys import (
    IssuedKey,
    KeyExpired,
    KeyMalformed,
    KeyOwnerInactive,
    KeyRevoked,
    KeyUnknown,
    checksum,
    issue_key,
    note_use,
    revoke,
    verify,
)
from service.operations.models import Dealer, Key, Person

pytestmark = pytest.mark.db


@pytest.fixture
def till(tallis_bridge: Dealer, ida: Person, now: datetime) -> IssuedKey:
    return issue_key(
        dealer=tallis_bridge, name="till", live=True, scopes=["checks:write", "catalogue:read"], now=now, person=ida
    )


def test_only_the_hash_of_a_key_is_kept(till: IssuedKey) -> None:
    row = Key.objects.filter(pk=till.key.pk).values().get()
    assert row["hash"] == hashlib.sha256(till.text.encode()).hexdigest()
    assert till.text[-38:] not in str(row)
    assert till.text not in repr(till)


def test_a_key_is_verified_with_its_dealer_and_person_in_one_query(
    till: IssuedKey, now: datetime, django_assert_num_queries: DjangoAssertNumQueries
) -> None:
    with django_assert_num_queries(1):
        key = verify(till.text, now)
        assert (key.dealer.name, key.person and key.person.name) == ("Tallis Bridge", "Ida Marsh")
    assert key.allows("checks:write")
    assert not key.allows("catalogue:write")


def test_a_mistyped_key_is_refused_without_a_query(
    till: IssuedKey, now: datetime, django_assert_num_queries: DjangoAssertNumQueries
) -> None:
    wrong = till.text[:-1] + ("a" if till.text[-1] != "a" else "b")
    with django_assert_num_queries(0), pytest.raises(KeyMalformed):
        verify(wrong, now)


def test_a_well_formed_key_that_was_never_issued_is_unknown(till: IssuedKey, now: datetime) -> None:
    body = f"gudgeon_live_{till.key.id8}_{'0' * 32}"
    with pytest.raises(KeyUnknown):
        verify(body + checksum(body), now)
    body = f"gudgeon_live_{'z' * 8}_{'0' * 32}"
    with pytest.raises(KeyUnknown):
        verify(body + checksum(body), now)


def test_a_live_key_is_no_test_key(till: IssuedKey, now: datetime) -> None:
    body = till.text[:-6].replace("_live_", "_test_")
    with pytest.raises(KeyUnknown):
        verify(body + checksum(body), now)


def test_with_two_keys_only_the_revoked_one_stops_working(
    till: IssuedKey, tallis_bridge: Dealer, now: datetime
) -> None:
    newer = issue_key(dealer=tallis_bridge, name="till, new", live=True, scopes=[], now=now)
    revoke(till.key, now)
    with pytest.raises(KeyRevoked):
        verify(till.text, now)
    assert verify(newer.text, now).pk == newer.key.pk


def test_revoking_again_keeps_the_first_instant(till: IssuedKey, now: datetime) -> None:
    revoke(till.key, now)
    revoke(till.key, now + timedelta(days=1))
    assert till.key.revoked_at == now


def test_a_key_works_until_the_instant_it_expires(tallis_bridge: Dealer, now: datetime) -> None:
    end = now + timedelta(days=30)
    issued = issue_key(dealer=tallis_bridge, name="trial", live=False, scopes=[], now=now, expires_at=end)
    assert verify(issued.text, end - timedelta(microseconds=1)).pk == issued.key.pk
    with pytest.raises(KeyExpired):
        verify(issued.text, end)


def test_a_key_stops_with_the_person_it_is_bound_to(till: IssuedKey, ida: Person, now: datetime) -> None:
    ida.is_active = False
    ida.save()
    with pytest.raises(KeyOwnerInactive):
        verify(till.text, now)


def test_the_last_use_is_written_at_most_hourly(
    till: IssuedKey, now: datetime, django_assert_num_queries: DjangoAssertNumQueries
) -> None:
    key = till.key
    for at, statements in ((now, 1), (now + timedelta(minutes=59), 0), (now + timedelta(hours=1), 1)):
        with django_assert_num_queries(statements):
            note_use(key, at)
        key.refresh_from_db()
    assert key.last_used_at == now + timedelta(hours=1)


def test_every_problem_of_a_wished_key_is_told_at_once(weir_lane: Dealer, ida: Person, now: datetime) -> None:
    with pytest.raises(Problems) as refused:
        issue_key(dealer=weir_lane, name="x", live=True, scopes=["all"], now=now, person=ida, expires_at=now)
    assert [p.pointer for p in refused.value.problems] == ["/scopes", "/person", "/expires_at"]
    assert not Key.objects.exists()


def test_a_dealer_sees_its_own_keys_only(till: IssuedKey, tallis_bridge: Dealer, weir_lane: Dealer) -> None:
    assert list(Key.objects.visible_to(tallis_bridge)) == [till.key]
    assert not Key.objects.visible_to(weir_lane).exists()
    assert not Key.objects.visible_to(None).exists()


def test_the_database_refuses_a_key_without_a_whole_hash(till: IssuedKey) -> None:
    with pytest.raises(IntegrityError), transaction.atomic():
        Key.objects.filter(pk=till.key.pk).update(hash="short")


def test_a_key_from_the_command_works_until_the_command_revokes_it(tallis_bridge: Dealer, now: datetime) -> None:
    out = StringIO()
    call_command("issue_key", "tallis-mill", "till 2", "--scope", "checks:write", stdout=out, stderr=StringIO())
    text = out.getvalue().strip()
    key = verify(text, now)
    assert (key.scopes, key.dealer) == (["checks:write"], tallis_bridge)

    call_command("revoke_key", key.id8, stdout=StringIO())
    key.refresh_from_db()
    assert key.revoked_at is not None
    with pytest.raises(KeyRevoked):
        verify(text, key.revoked_at)


@pytest.mark.usefixtures("tallis_bridge")
def test_the_commands_say_what_they_did_not_find() -> None:
    with pytest.raises(CommandError, match="nowhere"):
        call_command("issue_key", "nowhere", "till")
    with pytest.raises(CommandError, match="nobody"):
        call_command("issue_key", "tallis-mill", "till", "--person", "nobody")
    with pytest.raises(CommandError, match="abcdefgh"):
        call_command("revoke_key", "abcdefgh")
