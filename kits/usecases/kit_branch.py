"""Which branch is meant where a body names one, or none."""

from __future__ import annotations

from kits.usecases.kit_refusals import UnknownBranch, WhichBranch
from service.operations.models import Branch, Dealer


def branch_named(dealer: Dealer, code: str | None) -> Branch:
    """By its code; without one the dealer's only branch. Raises UnknownBranch and WhichBranch, naming those there are.

    One statement.
    """
    known = {branch.code: branch for branch in Branch.objects.visible_to(dealer).select_related("dealer")}
    names = ", ".join(sorted(known)) or "none"
    if code is not None:
        if code not in known:
            raise UnknownBranch(f"There is no branch {code[:40]!r} of yours; yours: {names}.", pointer="/branch")
        return known[code]
    if len(known) != 1:
        raise WhichBranch(f"Say which branch builds it; yours: {names}.", pointer="/branch")
    return next(iter(known.values()))
