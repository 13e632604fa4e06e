"""The slip of a check: read with all that stands on it, and described as a paper."""

from __future__ import annotations

from datetime import datetime
from zoneinfo import ZoneInfo

from catalog import loading
from catalog.domain.value_documents import Units
from catalog.models import Check
from catalog.usecases.approval_reading import approvals_applying
from catalog.usecases.facts_used import FactsUsed, question_of
from catalog.usecases.showing import shown
from catalog.usecases.slip_papers import Slip, slip_paper
from service.papers.paper import Paper


def slip_of(check: Check, units: Units, now: datetime) -> Paper:
    """The paper of a recorded check, with the approval that applies at `now`. Nothing is decided anew but its units."""
    dealer, machine = check.dealer, check.machine
    approval = approvals_applying([check], dealer, now).get(check.pk)
    slip = Slip(
        answer=shown(check, units, approval),
        question=question_of(FactsUsed.read(check.facts), loading.load_rulebook_numbered(check.rulebook_id)),
        dealer=dealer.name,
        checked_at=check.checked_at.astimezone(ZoneInfo(dealer.zone)),
        zone=dealer.zone,
        machine="" if machine is None else machine.name,
    )
    return slip_paper(slip)
