"""The slip of a recorded check as a paper: what was asked, what is sold, why, and who answers for it.

What stands on it: common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from catalog.domain.answers import Answer, Effect, Verdict
from catalog.domain.parts import Part
from catalog.domain.questions import Question
from catalog.domain.rules import Approver
from catalog.usecases.slip_words import APPROVERS, NOT_KNOWN, OUTCOMES, VERDICTS, Names, engine_words, plain, sentence
from service.papers.paper import Banner, Block, Entries, Entry, Heading, Paper, Paragraph, QrCode
from service.papers.sizes import A4, Size
from service.papers.tables import Column, Table

SELLS = frozenset({Verdict.ACCEPTED, Verdict.CONDITIONAL})
STANDS_OUT = frozenset({Effect.REJECT, Effect.UNDETERMINED, Effect.CONDITION})
CERTIFIES_NOTHING = (
    "Suitable or not by what is recorded. This slip certifies nothing, approves no conversion and replaces no "
    "inspection; local codes and licensed practice decide."
)
FINDINGS = (
    Column("What", share=4),
    Column("Needed here", share=5),
    Column("Part has", share=5),
    Column("Outcome", share=2),
    Column("In words", share=8),
)


@dataclass(frozen=True, slots=True)
class Slip:
    """All that a slip is written from. `answer` is the document as it is shown, with the approval that applies now.

    `machine` is what the machine is called now, where the check is about one; all else is as it was when asked.
    `checked_at` is in the dealer's zone.
    """

    answer: Mapping[str, Any]
    question: Question
    dealer: str
    checked_at: datetime
    zone: str
    machine: str = ""

    @property
    def verdict(self) -> Verdict:
        return Verdict(self.answer["verdict"])

    @property
    def names(self) -> Names:
        return Names(self.question.rulebook)


def slip_paper(slip: Slip, size: Size = A4) -> Paper:
    answer = slip.answer
    return Paper(
        title="Part check",
        subtitle=f"{slip.dealer}\n{_moment(slip)}",
        blocks=tuple(_blocks(slip)),
        size=size,
        footer=f"Check {answer['id']}. {CERTIFIES_NOTHING}",
        corner=QrCode(answer["id"]),
    )


def _blocks(slip: Slip) -> Iterator[Block]:
    answer = slip.answer
    yield Banner(*VERDICTS[slip.verdict])
    yield Paragraph(answer["headline"], strong=True)
    if slip.verdict is Verdict.CONDITIONAL:
        yield from _list("Only if", map(sentence, answer["conditions"]))
    yield Entries(tuple(_numbers(slip)))
    yield from _list("From the number asked to the number sold", (step["text"] for step in answer["chain"]))
    yield from _list("Wrong in the catalogue", answer["catalogue_errors"])
    yield from _list("Still to be found out", (fact["question"] for fact in answer["missing"]))
    if slip.verdict is not Verdict.CONDITIONAL:
        yield from _list("What would have to hold besides", map(sentence, answer["conditions"]))
    yield from _list("On record, and not in agreement", answer["conflicts"])
    yield from _list("Take care", (caution["text"] for caution in answer["cautions"]))
    yield from _list("What else was weighed", map(_alternative, answer["alternatives"]))
    yield Heading("Engine")
    yield Entries(tuple(_engine(slip)))
    yield Heading("Answered by")
    yield Entries(tuple(_signed(slip)))
    yield Heading("What was weighed")
    yield _findings(slip)


def _list(heading: str, lines: Iterable[str]) -> Iterator[Block]:
    listed = [Paragraph(line, listed=True) for line in lines]
    if listed:
        yield Heading(heading)
        yield from listed


def _numbers(slip: Slip) -> Iterator[Entry]:
    for item in slip.question.candidate:
        yield Entry("Asked for", _part(item.part) + (f", {item.quantity} of it" if item.quantity else ""), strong=True)
        yield from (Entry("Through", _part(adapter)) for adapter in item.adapters)
    if slip.question.replaces is not None:
        yield Entry("In place of", _part(slip.question.replaces))
    yield from _sold(slip)
    yield Entry("Position", plain(slip.answer["position"] or NOT_KNOWN))


def _sold(slip: Slip) -> Iterator[Entry]:
    """What goes over the counter; on a refusal or an open question nothing does, whatever was looked at."""
    for use in slip.answer["use"]:
        named = f"{use['part']['maker']} {use['part']['number']}".strip() or "the part described"
        count = use["quantity"] or "an unknown number"
        words = f"{count} of {named}, {use['part']['name']}".removesuffix(", ")
        why = f" ({use['why']})" if use["why"] else ""
        if slip.verdict in SELLS:
            yield Entry("To sell", f"{words}{why}", strong=True)
        else:
            yield Entry("Looked at", words)
    if slip.verdict not in SELLS:
        yield Entry("To sell", "nothing on this answer", strong=True)


def _part(part: Part) -> str:
    named = f"{part.maker} {part.number}".strip()
    name = part.name or plain(part.category)
    return f"{named}, {name}" if named else f"{name} as described at the counter"


def _engine(slip: Slip) -> Iterator[Entry]:
    if slip.machine:
        yield Entry("Machine", slip.machine)
    yield from (Entry(name, words) for name, words in engine_words(slip.question.application, slip.names))


def _signed(slip: Slip) -> Iterator[Entry]:
    answer = slip.answer
    yield Entry("Checked by", answer["checked_by"] or NOT_KNOWN)
    yield Entry("Checked at", _moment(slip))
    yield Entry("Approved by", _approval(slip))
    yield Entry("Data version", f"catalogue {answer['catalogue_version']}, rulebook {answer['rulebook']}")
    yield Entry("Check", answer["id"])
    yield Entry("Digest", answer["digest"])


def _approval(slip: Slip) -> str:
    given, needed = slip.answer["approval"], slip.answer["approvable_by"]
    if given is None:
        if slip.answer["approvable"] and needed is not None:
            return f"nobody yet; it takes {APPROVERS.get(Approver(needed), plain(needed))}"
        return (
            "nobody; none is asked for"
            if slip.verdict is Verdict.ACCEPTED
            else "nobody; as it was asked it cannot be approved"
        )
    licence = given["licence"]
    words = [
        f"{given['person']['name']}, {plain(given['role'])}",
        f"licence {licence['number']} ({licence['area']}), in force to {licence['expires']}" if licence else "",
        f"from {given['from']} to {given['until']}",
        f"work order {given['work_order']['number']}" if given["work_order"] else "",
        f"reason: {given['reason']}",
    ]
    return "; ".join(word for word in words if word)


def _moment(slip: Slip) -> str:
    return f"{slip.checked_at.isoformat(sep=' ', timespec='seconds')} ({slip.zone})"


def _alternative(found: Mapping[str, Any]) -> str:
    part, words = found["part"], VERDICTS[Verdict(found["verdict"])][1]
    said = found["headline"] if found["headline"].startswith(words) else f"{words}. {found['headline']}"
    return f"{part['maker']} {part['number']}, {part['name']}: {said}"


def _findings(slip: Slip) -> Block:
    findings, names = slip.answer["findings"], slip.names
    if not findings:
        return Paragraph("Nothing could be compared.")
    rows = tuple(
        (
            names.attribute(finding), names.side(finding["demand"]), names.side(finding["offer"]),
            "not asked" if finding["effect"] == Effect.NOT_ASKED else OUTCOMES[Answer(finding["outcome"])],
            finding["text"] + (f" Margin: {finding['margin']}." if finding["margin"] else ""),
        )
        for finding in findings
    )  # fmt: skip
    deciding = frozenset(place for place, finding in enumerate(findings) if finding["effect"] in STANDS_OUT)
    return Table(FINDINGS, rows, deciding)
