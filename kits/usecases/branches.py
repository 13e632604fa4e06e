"""Which branch of a dealer is meant."""

from __future__ import annotations

from service.errors import Conflict, Invalid, NotFound
from service.operations.models import Branch, Dealer


class UnknownBranch(NotFound):
    code = "unknown_branch"


class BranchNeeded(Invalid):
    """The dealer has several, and none was named."""

    code = "branch_needed"


class NoBranch(Conflict):
    code = "no_branch"


def branch_meant(dealer: Dealer, code: str | None, *, pointer: str | None = "/branch") -> Branch:
    """The branch of that code; without one the dealer's only one. One statement.

    Raises UnknownBranch for a code that is no branch of this dealer's, BranchNeeded where several could be meant, and
    NoBranch where there is none.
    """
    rows = list(Branch.objects.visible_to(dealer).select_related("dealer").order_by("code"))
    codes = ", ".join(row.code for row in rows)
    if not rows:
        raise NoBranch("You have no branch yet, so there is no shelf to look on; have one recorded.")
    if code is None and len(rows) > 1:
        raise BranchNeeded(f"Which branch is asking? Name one: {codes}.", pointer=pointer)
    found = next((row for row in rows if code is None or row.code == code), None)
    if found is None:
        raise UnknownBranch(f"You have no branch {code!r}; yours: {codes}.", pointer=pointer)
    return found
