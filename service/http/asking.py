"""Who asks: the dealer and the person behind a request, whether by key or signed in."""

from __future__ import annotations

from django.contrib.auth.models import AnonymousUser
from rest_framework.request import Request

from service.errors import Forbidden
from service.operations.models import Dealer, Key, Person


class KeyUser(AnonymousUser):
    """The user of a request whose key is bound to no person: known, and nobody in particular."""

    def __init__(self, key: Key) -> None:
        super().__init__()
        self.key = key

    @property
    def is_authenticated(self) -> bool:  # type: ignore[override]
        return True

    @property
    def is_anonymous(self) -> bool:  # type: ignore[override]
        return False

    def __str__(self) -> str:
        return f"key {self.key.id8}"

    # Without an identity of its own an anonymous user equals every other.
    def __eq__(self, other: object) -> bool:
        return isinstance(other, KeyUser) and other.key.pk == self.key.pk

    def __hash__(self) -> int:
        return hash(self.key.pk)


def key_of(request: Request) -> Key | None:
    return request.auth if isinstance(request.auth, Key) else None


def person_of(request: Request) -> Person | None:
    """The person signed in or bound to the key; none for a key bound to nobody."""
    return request.user if isinstance(request.user, Person) else None


def dealer_of(request: Request) -> Dealer | None:
    """The dealer asked for; none for a person of the shared catalogue."""
    key, person = key_of(request), person_of(request)
    if key is not None:
        return key.dealer
    return person.dealer if person is not None else None


def asking_dealer(request: Request) -> Dealer:
    """The dealer asked for. Raises ``Forbidden`` for a person who belongs to none."""
    dealer = dealer_of(request)
    if dealer is None:
        raise Forbidden("This belongs to a dealer, and you belong to none; ask with a dealer's key.", code="no_dealer")
    return dealer


def asker_name(request: Request) -> str:
    """What is written down as who asked: the person's name, or the key's with its eight characters."""
    key, person = key_of(request), person_of(request)
    if person is not None:
        return person.name
    return f"{key.name} ({key.id8})" if key is not None else ""
