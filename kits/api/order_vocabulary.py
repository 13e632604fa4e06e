"""Closed lists of words of order plans and orders; the API's description names each of them once (see settings)."""

from __future__ import annotations

from kits.domain.order_plan.fluids import FluidBuying
from kits.domain.order_plan.late import Way
from kits.models import OrderState
from kits.usecases.order_asking import OldStock

PLAN_STATES = ["at_once", "improving", "improved", "failed"]
SERVED_FROM = ["stock", "incoming", "order"]
WAYS = [way.value for way in Way]
OLD_STOCK = [word.value for word in OldStock]
FLUID_BUYING = [word.value for word in FluidBuying]
ORDER_STATES = [state.value for state in OrderState]
