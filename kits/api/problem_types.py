"""The kits' own kinds of refusal."""

from __future__ import annotations

from service.http.problem_types import ProblemType

REFUSALS = (
    ProblemType(
        "instant-ambiguous",
        400,
        "The time comes twice that day",
        "The clocks go back over it. Write the time with one of the two offsets that the problem names.",
    ),
    ProblemType(
        "instant-skipped",
        400,
        "The time never comes that day",
        "The clocks go forward over it. Look at the time again, or write it with an offset.",
    ),
    ProblemType("unknown-plan", 404, "No such service plan", "Use the id of a shared plan or of one of your own."),
    ProblemType("plan-withdrawn", 410, "The service plan is withdrawn", "Choose another plan for the machine."),
    ProblemType("unknown-meter", 404, "No such meter on this machine", "Use the code of one of its meters."),
    ProblemType("unknown-reading", 404, "No such reading of this machine", "Use the id of one of its readings."),
    ProblemType("unknown-service", 404, "No such service on file", "Use the id of a service done on this machine."),
    ProblemType(
        "unknown-observation", 404, "No such observation on file", "Use the id of something seen on this machine."
    ),
    ProblemType(
        "already-reviewed",
        409,
        "Somebody has reviewed the reading already",
        "A review is said once. Add a reading that is right.",
    ),
    ProblemType(
        "meter-in-use",
        409,
        "The meter has readings in its unit",
        "Fit a meter of the other unit under a code of its own; readings are never turned from one unit to another.",
    ),
    ProblemType(
        "meter-removed",
        409,
        "The meter is off the machine already",
        "Leave replaces out, or name the meter that was taken off now.",
    ),
    ProblemType(
        "unknown-import",
        404,
        "No such stock import",
        "Use the id of an import of your own; its first job has the same.",
    ),
    ProblemType(
        "unknown-branch", 404, "No such branch", "Use the code of a branch of your own; the detail names them."
    ),
    ProblemType("unknown-calendar", 404, "No such calendar", "Use the id of a calendar of your own."),
    ProblemType("unknown-calendar-day", 404, "No such day in the calendar", "Only days that are listed can go."),
    ProblemType("unknown-supplier", 404, "No such supplier", "Use the code or id of a supplier of your own."),
    ProblemType("unknown-price", 404, "No such price", "Use the id of a supplier's price of your own."),
    ProblemType("unknown-stock-item", 404, "No such stock item", "Use the id of a stock item of your own."),
    ProblemType("unknown-handling", 404, "No such record of handling", "Use the id of a record of your own."),
    ProblemType("in-use", 409, "Something else rests on it", "The detail says what; change that first."),
    ProblemType(
        "not-held",
        409,
        "The file is not held",
        "Only a file that is held is released or rejected; the import says in state what became of it.",
    ),
    ProblemType(
        "nobody-decides",
        403,
        "A person has to decide this",
        "Sign in, or ask with a key that is bound to a person: who released or rejected a file is written down.",
    ),
    ProblemType("which-branch", 400, "Several branches could be meant", "Name the branch by its code."),
)
