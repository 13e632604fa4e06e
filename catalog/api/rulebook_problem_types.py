"""What a rulebook or a draft of one can be refused for."""

from __future__ import annotations

from service.http.problem_types import ProblemType

RULEBOOK_REFUSALS = (
    ProblemType(
        "not-publishable",
        409,
        "The draft may not be published",
        "Each entry of problems names the row to edit and says why. Nothing was published; mend them all and repeat.",
    ),
    ProblemType(
        "draft-closed", 409, "The draft is closed", "It was published or discarded; begin another from a rulebook."
    ),
    ProblemType(
        "draft-behind",
        409,
        "Another rulebook came into force meanwhile",
        "Rebase the draft, look at what differs, and publish it then.",
    ),
    ProblemType(
        "both-changed",
        409,
        "Draft and rulebook changed the same rows",
        "The rows are named. Send prefer: draft keeps yours, rulebook takes the other's; or edit them and repeat.",
    ),
    ProblemType(
        "identical-rulebook",
        409,
        "That is published already",
        "Nothing differs from the rulebook that number names; publish that number to put it in force again.",
    ),
    ProblemType(
        "rulebook-moved",
        409,
        "Something changed while the draft was checked",
        "Nothing was published. Look at the draft and at what is in force, and repeat.",
    ),
)
