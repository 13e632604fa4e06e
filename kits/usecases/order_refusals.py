"""What order plans and orders are refused for."""

from __future__ import annotations

from service.errors import Conflict, NotFound, Unprocessable


class KitEnded(Conflict):
    """Handed out or cancelled: nothing is ordered for it any more."""

    code = "kit_ended"


class KitElsewhere(Conflict):
    """It is of another branch than the plan."""

    code = "kit_elsewhere"


class DaysUnknown(Unprocessable):
    """Nobody has recorded on which days the branch works, so no shelf date can be told."""

    code = "days_unknown"


class UnknownOrderPlan(NotFound):
    code = "unknown_order_plan"


class PlanOutdated(Conflict):
    """Kits, stock or prices have changed since the plan was made."""

    code = "plan_outdated"


class NothingToOrder(Conflict):
    """The plan buys nothing, or nothing from those suppliers."""

    code = "nothing_to_order"


class OrderedAlready(Conflict):
    """What the plan buys from that supplier has been ordered."""

    code = "ordered_already"


class PricesChanged(Conflict):
    """A price changed while the order was made."""

    code = "prices_changed"
    of_the_moment = True


class BelowMinimumValue(Unprocessable):
    """The goods come to less than the supplier takes an order for."""

    code = "below_minimum_value"


class TooMuch(Unprocessable):
    """More pieces, or more money, than an order can be of."""

    code = "too_much"


class UnknownOrder(NotFound):
    code = "unknown_order"


class OrderEnded(Conflict):
    """Received whole or cancelled, which is for good."""

    code = "order_ended"
