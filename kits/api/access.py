"""Who may read and write stock, and what every address of it asks."""

from __future__ import annotations

from collections.abc import Mapping

from django.utils import timezone
from rest_framework.request import Request

from kits.usecases.dealer_rows import Owner
from service.http.asking import asking_dealer
from service.operations.models import Scope

READ_WRITE: Mapping[str, Scope] = {
    "GET": Scope.STOCK_READ, "POST": Scope.STOCK_WRITE, "PATCH": Scope.STOCK_WRITE, "DELETE": Scope.STOCK_WRITE,
}  # fmt: skip


def owner_of(request: Request) -> Owner:
    return Owner(asking_dealer(request), timezone.now())
