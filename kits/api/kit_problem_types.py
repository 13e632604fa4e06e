"""The kinds of refusal of kits and of the steps they go through."""

from __future__ import annotations

from service.http.problem_types import ProblemType

KIT_REFUSALS = (
    ProblemType("unknown-kit", 404, "No such kit", "Use the id of a kit of your own."),
    ProblemType(
        "plan-unknown",
        422,
        "Nobody can tell which service plan holds",
        "Answer the questions: put the specification on file, add a plan, or name one in the machine's service file.",
    ),
    ProblemType(
        "nothing-to-do",
        422,
        "No work is left for a kit",
        "The detail says why. Name a level or tasks, or answer what it asks.",
    ),
    ProblemType("no-such-level", 404, "The plan has no such level", "Use the code of one of the plan's levels."),
    ProblemType("no-such-task", 404, "The plan has no such task", "Use the codes of the plan's tasks."),
    ProblemType("no-such-line", 404, "The kit has no such line", "Use the number of one of its lines."),
    ProblemType(
        "kit-state", 409, "The kit is in another state", "The detail says which state it is in and what to do first."
    ),
    ProblemType(
        "not-settled",
        409,
        "The part may not be used there",
        "The check says why. Choose another part, or have a conditional one approved.",
    ),
    ProblemType(
        "kit-incomplete",
        409,
        "Lines of the kit are open",
        "Settle and reserve them, or name each in to_follow with the reason.",
    ),
    ProblemType(
        "stock-gone",
        409,
        "Reserved pieces are not on the shelf",
        "Count the bin, then pick the kit with what is short, or cancel it.",
    ),
)
