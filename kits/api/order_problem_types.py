"""What order plans and orders are refused for, as problem types."""

from __future__ import annotations

from service.http.problem_types import ProblemType

ORDER_REFUSALS = (
    ProblemType(
        "kit-ended", 409, "The kit has ended", "It was handed out or cancelled; leave it out, or build another."
    ),
    ProblemType(
        "kit-elsewhere", 409, "The kit is of another branch", "Plan the orders of each branch with its own kits."
    ),
    ProblemType(
        "days-unknown",
        422,
        "Nobody has recorded on which days the branch works",
        "Record its calendar, or its closed dates of the year; the day goods must be on the shelf follows from them.",
    ),
    ProblemType(
        "calendar-ends",
        422,
        "The closed days of that time are not recorded",
        "Record the closed days of that year for the house that the detail names.",
    ),
    ProblemType("unknown-order-plan", 404, "No such order plan", "Use the id of an order plan of your own."),
    ProblemType(
        "plan-outdated",
        409,
        "Kits, stock or prices have changed since the plan was made",
        "Make the plan anew and order from that one; nothing was ordered.",
    ),
    ProblemType(
        "nothing-to-order", 409, "The plan buys nothing there", "Its purchases say from which suppliers it buys."
    ),
    ProblemType(
        "ordered-already",
        409,
        "It has been ordered already",
        "The plan names the orders placed from it; order the other suppliers, or make a new plan.",
    ),
    ProblemType("prices-changed", 409, "A price changed meanwhile", "Nothing was ordered; send it once more."),
    ProblemType("unknown-order", 404, "No such order", "Use the id of an order of your own."),
    ProblemType(
        "order-ended",
        409,
        "The order has ended",
        "It is received whole or cancelled, which is for good; place another.",
    ),
    ProblemType(
        "below-minimum-value",
        422,
        "The goods come to less than the supplier takes an order for",
        "Order more of what is needed later anyway, or order elsewhere; nothing is added by itself.",
    ),
    ProblemType(
        "too-much",
        422,
        "More than an order can be of",
        "Look at the pack and the price that are recorded, and order less.",
    ),
    ProblemType(
        "mixed-currencies",
        409,
        "Amounts in several currencies",
        "They are never added or compared; order what is priced in each currency by itself.",
    ),
)
