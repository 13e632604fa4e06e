"""What mates with what: connectors by family and gender, joints by form, size, hand and gender."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from catalog.domain.answers import Answer
from catalog.domain.comparing_codes import equals
from catalog.domain.joints import JointTable, Place, Size, Thread, decimal, pitch_of_code, pitch_shown
from catalog.domain.rules import ComparisonKind, MateTable
from catalog.domain.values import State, Value
from catalog.domain.weighing import MET, Reading, Weighed, by_state, lacking, not_met, worst

_EQUAL = ComparisonKind.EQUALS


@dataclass(frozen=True, slots=True)
class _Halves:
    """Both halves of a joint: the demanded and the offered one, the member that says their gender, and fuel gas."""

    demand: Reading
    offer: Reading
    gender: str
    gas: bool | None


def mates_with(table: MateTable, demand: Reading, offer: Reading, *, gas: bool | None = None) -> Weighed:
    """Every member is equal and the paired member mates by the table. A missing member is unknown.

    The leading member (the family of a connector, the form of an end) and the paired one must be stated of the mating
    half: equal ways alone prove nothing. Another member is asked where either half states it. Forms of joints mate
    across forms where the table says so; `gas` says whether fuel gas passes here, None where that is not known.
    """
    halves, paired = _Halves(demand, offer, table.paired, gas), (table.paired,) if table.paired else ()
    results = [_member(table.joints, member, halves) for member in table.equal if member in demand]
    if table.paired in demand:
        results.append(_paired_member(table, demand[table.paired], offer.get(table.paired)))
    needed = {*table.equal[:1], *paired}
    results += [_unstated(m) for m in (*table.equal, *paired) if m not in demand and (m in needed or m in offer)]
    return _as_joint(table.joints, demand, offer, results)


def same_members(members: tuple[str, ...], demand: Reading, offer: Reading, table: MateTable) -> Weighed:
    """What taking a mating part over means: the same as the specified part in every member recorded of either."""
    joints = table.joints
    plain = tuple(member for member in members if joints is None or member != joints.pitch)
    results = [_alike(joints, member, demand, offer) for member in plain if member in demand]
    results += [_unstated(member) for member in plain if member not in demand and member in offer]
    return _as_joint(joints, demand, offer, results) if results else Weighed(Answer.UNKNOWN, asks=members[:1])


def _as_joint(joints: JointTable | None, demand: Reading, offer: Reading, results: list[Weighed]) -> Weighed:
    """The worst of the members; of a joint its pitch too, and the figures where it is refused."""
    if joints is None:
        return worst(tuple(results))
    weighed = worst((*results, *_pitches(joints, demand, offer)))
    return _told_apart(joints, demand, offer, weighed) if weighed.answer is Answer.NOT_MET else weighed


def _unstated(member: str) -> Weighed:
    return Weighed(Answer.UNKNOWN, f"the {member.replace('_', ' ')} asked for here is not recorded", asks=(member,))


def _member(joints: JointTable | None, member: str, halves: _Halves) -> Weighed:
    if joints is not None and member == joints.form:
        return _named(member, _forms(joints, halves))
    return _alike(joints, member, halves.demand, halves.offer)


def _alike(joints: JointTable | None, member: str, demand: Reading, offer: Reading) -> Weighed:
    """The same value of one member; sizes of a joint as they are written, the pitch apart."""
    by_states = by_state(_EQUAL, member, demand[member], offer.get(member))
    if by_states is not None:
        return _named(member, by_states)
    if joints is not None and member == joints.size:
        ours, theirs = _sizes(joints, demand), _sizes(joints, offer)
        if {size.key for size in ours} == {size.key for size in theirs}:
            return MET
    return _named(member, equals(demand[member], offer[member]))


def _paired_member(table: MateTable, demand: Value, offer: Value | None) -> Weighed:
    by_states = by_state(_EQUAL, table.paired, demand, offer)
    if by_states is not None or offer is None:
        return _named(table.paired, by_states or lacking(table.paired))
    pairs = [table.pairs.get((asked, given)) for asked in demand.codes for given in offer.codes]
    results = [Weighed(pair[0], f"{offer.shown()} on {demand.shown()}", condition=pair[1]) for pair in pairs if pair]
    if not results:
        return _named(table.paired, not_met(f"{offer.shown()} does not mate with {demand.shown()}"))
    return worst(tuple(results))


def _named(member: str, weighed: Weighed) -> Weighed:
    if weighed.answer is Answer.MET or not weighed.reason:
        return weighed
    return weighed._replace(reason=f"{member.replace('_', ' ')}: {weighed.reason}", disputed=())


def _forms(joints: JointTable, halves: _Halves) -> Weighed:
    """Whether the forms of two halves mate, by which of them is the external one."""
    asked, given = halves.demand[joints.form], halves.offer.get(joints.form)
    by_states = by_state(_EQUAL, joints.form, asked, given)
    if by_states is not None or given is None:
        return by_states or lacking(joints.form)
    return worst(tuple(_form(joints, (one, other), halves) for one in asked.codes for other in given.codes))


def _form(joints: JointTable, pair: tuple[str, str], halves: _Halves) -> Weighed:
    asked, given = pair
    if not (joints.knows(asked) and joints.knows(given)):
        return MET if asked == given else not_met(f"{joints.name(given)} where {joints.name(asked)} is asked")
    out, into = _cell(joints, (asked, given), gas=halves.gas), _cell(joints, (given, asked), gas=halves.gas)
    asked_is_external = _external(joints, halves)
    if asked_is_external is not None:
        return out if asked_is_external else into
    if out.answer is into.answer:
        return out
    return lacking(halves.gender, reason=f"{joints.name(given)} with {joints.name(asked)}: which of them is external")


def _external(joints: JointTable, halves: _Halves) -> bool | None:
    """Whether the asked half is the external one; None where the genders do not say, or say that both are."""
    asked, given = halves.demand.get(halves.gender), halves.offer.get(halves.gender)
    ours = joints.external_gender in asked.codes if asked and asked.codes else None
    theirs = joints.external_gender not in given.codes if given and given.codes else None
    if ours is None or theirs is None:
        return theirs if ours is None else ours
    return ours if ours is theirs else None


def _cell(joints: JointTable, pair: tuple[str, str], *, gas: bool | None) -> Weighed:
    """What the table says of an external form in an internal one."""
    external, internal = (joints.name(form) for form in pair)
    words = f"external {external} in internal {internal}"
    cell = joints.cells.get(pair)
    if cell is None:
        return lacking(joints.form, reason=f"nothing is published for {words}")
    because = f": {cell.because}" if cell.because else " does not seal"
    if cell.on_fuel_gas in (None, cell.answer) or gas is False:
        return Weighed(cell.answer, words + because, condition=cell.condition)
    if gas is None:
        reason = f"{words}: whether fuel gas passes here is not known"
        return Weighed(Answer.UNKNOWN, reason, asks=(joints.form,))
    return Weighed(cell.on_fuel_gas or cell.answer, f"{words} on fuel gas{because}")


def _sizes(joints: JointTable, half: Reading) -> tuple[Size, ...]:
    form, size = half.get(joints.form), half.get(joints.size)
    forms, texts = form.codes if form else (), size.codes if size else ()
    return tuple(joints.sized(forms[0] if forms else "", text) for text in texts)


def _pitch(joints: JointTable, half: Reading) -> Fraction | None:
    """The pitch that a half states or its size says, in millimetres."""
    stated = half.get(joints.pitch)
    if stated is not None and len(stated.codes) == 1:
        return pitch_of_code(stated.codes[0])
    sizes = _sizes(joints, half)
    if len(sizes) != 1:
        return None
    thread = joints.thread(_form_of(joints, half), sizes[0], sizes[0].pitch)
    return sizes[0].pitch or (thread.pitch if thread else None)


def _form_of(joints: JointTable, half: Reading) -> str:
    form = half.get(joints.form)
    return form.codes[0] if form is not None and len(form.codes) == 1 else ""


def _pitches(joints: JointTable, demand: Reading, offer: Reading) -> tuple[Weighed, ...]:
    """One pitch where both are known; a thread that is sold with several under one size has to state its own."""
    sizes = demand.get(joints.size), offer.get(joints.size)
    if any(size is None or size.state is not State.VALUE for size in sizes):
        return ()
    ours, theirs = _pitch(joints, demand), _pitch(joints, offer)
    if ours is not None and theirs is not None:
        same = ours == theirs
        return () if same else (not_met(f"pitch: {pitch_shown(theirs)} where {pitch_shown(ours)} is asked"),)
    needs = {_form_of(joints, demand), _form_of(joints, offer)} & joints.pitch_needed
    if ours is None and theirs is None and not needs:
        return ()
    named = f"{demand[joints.size].shown()} {joints.name(_form_of(joints, demand))}".strip()
    half = "neither half" if ours is theirs else "one half only"
    reason = (
        f"{named} may have several pitches, and {half} states which" if needs else f"{named}: {half} states a pitch"
    )
    lacks, asks = ((joints.pitch,) if pitch is None else () for pitch in (theirs, ours))
    return (Weighed(Answer.UNKNOWN, reason, lacks=lacks, asks=asks),)


@dataclass(frozen=True, slots=True)
class _Known:
    """One half whose form and size are known: where the tables have it, in words, and its thread."""

    place: Place
    words: str
    thread: Thread | None


def _told_apart(joints: JointTable, demand: Reading, offer: Reading, refused: Weighed) -> Weighed:
    """A refusal with the figures of both threads, and the warning where they are taken for one another."""
    asked, given = _known(joints, demand), _known(joints, offer)
    if asked is None or given is None:
        return refused
    warning = joints.look_alikes.get((asked.place, given.place), "")
    said = (refused.reason, _figures(given, asked), warning)
    return refused._replace(reason="; ".join(words for words in said if words))


def _known(joints: JointTable, half: Reading) -> _Known | None:
    form, sizes = _form_of(joints, half), _sizes(joints, half)
    if not form or len(sizes) != 1:
        return None
    thread = joints.thread(form, sizes[0], _pitch(joints, half))
    return _Known(sizes[0].place(form), f"{half[joints.size].shown()} {joints.name(form)}", thread)


def _figures(given: _Known, asked: _Known) -> str:
    """Both threads side by side with how far they are apart; nothing where one of them is not known."""
    if given.thread is None or asked.thread is None or given.place == asked.place:
        return ""
    one, other = given.thread, asked.thread
    apart = abs(one.diameter - other.diameter)
    diameters = f"{decimal(apart)} mm apart" if apart else "the same diameter"
    pitches = "the same pitch" if one.pitch == other.pitch else "another pitch"
    angles = f", {one.angle}° against {other.angle}°" if one.angle and other.angle not in (None, one.angle) else ""
    return f"{given.words} is {one.shown()}; {asked.words} is {other.shown()}: {diameters}, {pitches}{angles}"
