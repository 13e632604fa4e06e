"""What the use cases of service records are refused for."""

from __future__ import annotations

from service.errors import Conflict, Gone, NotFound


class UnknownPlan(NotFound):
    code = "unknown_plan"


class PlanWithdrawn(Gone):
    code = "plan_withdrawn"


class UnknownMeter(NotFound):
    code = "unknown_meter"


class UnknownReading(NotFound):
    code = "unknown_reading"


class UnknownService(NotFound):
    code = "unknown_service"


class UnknownObservation(NotFound):
    code = "unknown_observation"


class AlreadyReviewed(Conflict):
    """Somebody has said already what the reading is."""

    code = "already_reviewed"


class MeterInUse(Conflict):
    """Readings are in its unit."""

    code = "meter_in_use"


class MeterRemoved(Conflict):
    """The meter is off the engine, which is for good."""

    code = "meter_removed"
