"""The sentences of chains: why a step holds here or does not, and why a number is the one to use."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from catalog.domain.answers import Truth, distinct
from catalog.domain.applicability import Applicability, Where
from catalog.domain.fuels import listed, listed_words
from catalog.domain.serials import Serial, SerialRange
from catalog.domain.supersession_chains import Counted, Numbered, Supersession
from catalog.domain.supersession_walk import Walk
from catalog.domain.supersessions import SupersessionKind

EVERYWHERE = "it holds for every engine"


def holding_words(applicability: Applicability, where: Where) -> str:
    """The facts for which it holds here, e.g. `serial 131077 is from 120000 on`; empty where none is asked."""
    application, facts = where.application, []
    serial = application.serial
    if applicability.serials and serial is not None:
        entry = next(entry for entry in applicability.serials if entry.holds_for(serial).holds)
        facts.append(_inside(entry, serial))
    if applicability.specification is not None:
        facts.append("it is this engine specification")
    if applicability.fuels:
        facts.append(f"the engine burns {listed(where.burned.fuels, where.names)}")
    if applicability.places and application.place_of_use is not None:
        facts.append(f"its place of use is {_plain(application.place_of_use)}")
    return ", ".join(fact for fact in facts if fact)


def failing_words(applicability: Applicability, truth: Truth, where: Where) -> str:
    """The facts of this engine for which it does not hold, e.g. `serial 61390 is below 61500`."""
    application, facts = where.application, []
    if "serial" in truth.because and application.serial is not None:
        facts.append(_outside(applicability.serials, application.serial))
    if "specification" in truth.because:
        facts.append("it is another engine specification")
    if "fuel" in truth.because:
        facts.append(f"the engine burns {listed(where.burned.fuels, where.names)}")
    if "place of use" in truth.because and application.place_of_use is not None:
        facts.append(f"its place of use is {_plain(application.place_of_use)}")
    return ", ".join(facts) or "this engine is not one of those it is for"


def step_words(step: Supersession, truth: Truth, where: Where) -> str:
    """One step of a chain and why it holds here, does not, or cannot be told."""
    name = f"{_listed(step.old)} > {_listed(step.new) if step.new else 'discontinued, no replacement'}"
    if truth.holds is False:
        return f"{name}: not here, {failing_words(step.applicability, truth, where)}."
    if truth.holds is None:
        return f"{name}: cannot tell here; missing: {', '.join(fact.name for fact in truth.missing)}."
    reason = holding_words(step.applicability, where) or EVERYWHERE
    return f"{name}: {reason}{', swap allowed both ways' if step.both_ways else ''}."


def use_words(asked: Numbered, end: Numbered, path: Sequence[Supersession], walk: Walk, where: Where) -> str:
    """Why this number is the one to use: the steps taken, the one not taken, and the facts that decide them."""
    reasons = distinct(reason for step in path if (reason := _taken(step, walk, where)))
    stays = distinct(
        f"{_listed(step.new)} does not replace it, {failing_words(step.applicability, walk.truths[step.id], where)}"
        for step in walk.all_out_of(end.id)
        if walk.truths[step.id].holds is False and step.new
    )
    head = _moved(asked, end, path) if path else f"{end.shown} is not replaced{' here' if stays else ''}"
    facts = "; ".join((*reasons, *stays))
    return f"{head}{f': {facts}' if facts else ''}."


def shared_words(asked: Numbered, path: Sequence[Supersession], line: int) -> str:
    """What stands on a line whose pieces are counted in another one; lines are counted from 1."""
    together = [step for step in path if step.kind is SupersessionKind.TOGETHER]
    said = "; ".join(f"{_listed(step.old, ' and ')} together are now {_listed(step.new)}" for step in together)
    return f"{said}: with {asked.shown} of this line, counted in line {line}."


def _moved(asked: Numbered, end: Numbered, path: Sequence[Supersession]) -> str:
    if all(step.one_for_one for step in path):
        return f"{end.shown} replaces {asked.shown}, one for one"
    sides = (
        f"{_listed(step.old, ' and ')} together are now {_listed(step.new)}"
        if step.kind is SupersessionKind.TOGETHER
        else f"{_listed(step.old)} is now a set, all of it or nothing: {_listed(step.new)}"
        for step in path
        if not step.one_for_one
    )
    return "; ".join(sides)


def _taken(step: Supersession, walk: Walk, where: Where) -> str:
    truth = walk.truths.get(step.id)
    if truth is not None and truth.holds is None:
        return f"whatever the {listed_words(distinct(_bare(fact.name) for fact in truth.missing))} is"
    return holding_words(step.applicability, where)


def _bare(name: str) -> str:
    return name.partition(" (")[0]


def _inside(entry: SerialRange, serial: Serial) -> str:
    shown, first, last = _serial(serial), entry.first, entry.last
    if first is not None and last is not None:
        return f"{shown} is from {first} to {last}"
    if first is not None:
        return f"{shown} is from {first} on"
    return f"{shown} is below {last + 1}" if last is not None else ""


def _outside(entries: Iterable[SerialRange], serial: Serial) -> str:
    shown, ranges = _serial(serial), tuple(entries)
    same = [entry for entry in ranges if entry.prefix == serial.prefix]
    if not same:
        return f"{shown} is in another block"
    if len(same) == 1 and (change := same[0].change) is not None:
        entry = same[0]
        if entry.first is not None and serial.number < entry.first:
            return f"{shown} is below {change}"
        if entry.last is not None and serial.number > entry.last:
            return f"{shown} is from {entry.last + 1} on"
    return f"{shown} is outside {', '.join(entry.shown() for entry in ranges)}"


def _serial(serial: Serial) -> str:
    return f"serial {serial.prefix}{serial.number}"


def _listed(members: Iterable[Counted], join: str = " + ") -> str:
    return join.join(member.shown for member in members)


def _plain(code: str) -> str:
    return code.replace("_", " ")
