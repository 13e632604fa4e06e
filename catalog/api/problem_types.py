"""The catalogue's own kinds of refusal."""

from __future__ import annotations

from service.http.problem_types import ProblemType

REFUSALS = (
    ProblemType(
        "unknown-part",
        404,
        "No such part",
        "Look at the suggestions; each says why it was found. Or describe the part instead of naming it.",
    ),
    ProblemType(
        "possible-lost-zero",
        404,
        "A leading zero may have been lost",
        "The suggestion differs by leading zeros alone. If it is the one meant, ask again with that number; and see "
        "whether a spreadsheet has taken the zeros from the others too.",
    ),
    ProblemType(
        "ambiguous-part", 409, "More than one part answers to that", "Name maker and number as printed, or the id."
    ),
    ProblemType(
        "part-withdrawn", 410, "The part is withdrawn", "Its old checks stay readable; ask about its replacement."
    ),
    ProblemType("unknown-maker", 404, "No such maker", "Use the maker's code as the catalogue writes it."),
    ProblemType(
        "unknown-specification",
        404,
        "No such engine specification",
        "Read model and specification number from the engine plate; the suggestions are those known of that model.",
    ),
    ProblemType(
        "unknown-position", 404, "No such position in that engine", "Use one of the positions the answer names."
    ),
    ProblemType(
        "position-removed",
        404,
        "The machine has no such position any more",
        "It was taken out when the engine was converted; ask about the position that took its place.",
    ),
    ProblemType("unknown-machine", 404, "No such machine", "Use the id of a machine of your own."),
    ProblemType("unknown-customer", 404, "No such customer", "Use the id of a customer of your own."),
    ProblemType(
        "not-approvable",
        409,
        "Nobody can approve this check",
        "Only a conditional answer for a machine can be approved, and only where its rules name a role.",
    ),
    ProblemType(
        "not-an-approver",
        403,
        "The person may not approve this",
        "The check says in approvable_by who may; no role stands in for another.",
    ),
    ProblemType(
        "licence-not-in-force",
        409,
        "The licence does not carry the approval",
        "Number, area and expiry have to be on file, and in force on the day of the approval.",
    ),
    ProblemType(
        "conversion-not-confirmed",
        409,
        "No licensed person has confirmed the conversion",
        "Add a fuel record with confirmed_by to the machine, then approve.",
    ),
    ProblemType("unknown-person", 404, "No such person", "Use the user name or the id of a person of your own."),
    ProblemType(
        "another-person", 403, "Nobody approves in another's name", "Sign in, or use the key, of whoever approves."
    ),
    ProblemType(
        "already-withdrawn", 409, "It is withdrawn already", "A withdrawal is for good; give another approval."
    ),
    ProblemType("unknown-work-order", 404, "No such work order", "Use the number or the id of one of your own."),
    ProblemType(
        "work-order-elsewhere", 409, "The work order is on another machine", "Use one on the machine of the check."
    ),
    ProblemType(
        "work-order-approved", 409, "An approval rests on the work order", "Open another work order for that machine."
    ),
    ProblemType("work-order-ended", 409, "The work order has ended", "Closed or cancelled is for good; open another."),
    ProblemType("hold-closed", 409, "The hold is closed", "Read the list of open holds again."),
    ProblemType("hold-confirmed", 409, "The hold stands for everybody already", "Close it once it is settled."),
    ProblemType("taken", 409, "It is there already", "Change the one that is there, or give this one another name."),
    ProblemType("machine-withdrawn", 410, "The machine is withdrawn", "Its old checks stay readable."),
    ProblemType("position-in-use", 409, "Statements rest on the position", "Keep it, or withdraw the specification."),
    ProblemType(
        "wrong-check-digit",
        400,
        "The barcode's check digit is wrong",
        "One digit at least is misread; the detail says which check digit the others would have. Read them off again.",
    ),
    ProblemType("barcode-taken", 409, "The barcode is another part's", "Read the code off the package again."),
    ProblemType(
        "no-rulebook", 409, "No rulebook is published", "Whoever runs the service has to load the reference data."
    ),
)
