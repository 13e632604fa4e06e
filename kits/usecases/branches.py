"""Which branch of a dealer is meant."""

from __future__ import annotations

from functools import cache
from uuid import UUID

from catalog.loading.written import WrittenRows, written_rows
from service.errors import Conflict, Invalid, NotFound
from service.operations.models import Branch, Dealer


class UnknownBranch(NotFound):
    code = "unknown_branch"


class WhichBranch(Invalid):
    """The dealer has several, and none was named."""

    code = "which_branch"


class NoBranch(Conflict):
    code = "no_branch"


def branch_meant(dealer: Dealer, code: str | None, *, pointer: str | None = "/branch") -> Branch:
    """The branch of that code; without one the dealer's only one. One statement.

    Raises UnknownBranch for a code that is no branch of this dealer's, WhichBranch where several could be meant, and
    NoBranch where there is none.
    """
    rows = branches_of(dealer)
    codes = ", ".join(row.code for row in rows)
    if not rows:
        raise NoBranch("You have no branch yet, so there is no shelf to look on; have one recorded.")
    if code is None and len(rows) > 1:
        raise WhichBranch(f"Which branch is meant? Name one: {codes}.", pointer=pointer)
    found = next((row for row in rows if code is None or row.code == code), None)
    if found is None:
        raise UnknownBranch(f"You have no branch {str(code)[:60]!r}; yours: {codes}.", pointer=pointer)
    return found


def branches_of(dealer: Dealer) -> list[Branch]:
    """In the order of their codes. One statement."""
    rows = _branches().rows(dealer.pk)
    for row in rows:
        row.dealer = dealer
    return rows


@cache
def _branches() -> WrittenRows[Branch]:
    return written_rows(Branch.objects.filter(dealer=UUID(int=0)).order_by("code"), 1)
