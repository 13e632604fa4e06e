"""What the use cases of kits are refused for."""

from __future__ import annotations

from service.errors import Conflict, NotFound, Unprocessable


class UnknownKit(NotFound):
    code = "unknown_kit"


class PlanUnknown(Unprocessable):
    """Nobody can tell which service plan holds for the machine; `question` asks for it."""

    code = "plan_unknown"


class NothingToDo(Unprocessable):
    """No task is left that the machine needs."""

    code = "nothing_to_do"


class NoSuchLine(NotFound):
    code = "no_such_line"


class NotSettled(Conflict):
    """The part chosen is not one that may be used there."""

    code = "not_settled"


class KitIncomplete(Conflict):
    """Lines are open that nobody has said are to follow."""

    code = "kit_incomplete"


class StockGone(Conflict):
    """Pieces that were promised are not on the shelf any more."""

    code = "stock_gone"
