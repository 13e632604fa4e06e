"""The lines of a kit: the parts of the tasks due on one engine, multiplied out, each needed once.

What a task needs and what its opened joints take: common practice, no source. That a bigger service contains the
smaller one, so that one filter serves both, likewise.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from catalog.domain.answers import Fact
from catalog.domain.applicability import Applicability, Where
from catalog.domain.parts import PartKey
from kits.domain.packing import Nature, keeps_out
from service.errors import Invalid


class Per(StrEnum):
    """What a quantity is multiplied by."""

    MACHINE = "machine"
    CYLINDER = "cylinder"
    INJECTOR = "injector"
    HEAD = "head"


class Unit(StrEnum):
    EACH = "each"
    MICROLITRE = "microlitre"


@dataclass(frozen=True, slots=True)
class EngineCounts:
    """How many of each the engine has; None is not recorded. `places` are the pieces that sit at a position."""

    cylinders: int | None = None
    injectors: int | None = None
    heads: int | None = None
    places: Mapping[str, int] = field(default_factory=dict)

    def of(self, per: Per) -> int | None:
        counts = {Per.CYLINDER: self.cylinders, Per.INJECTOR: self.injectors, Per.HEAD: self.heads}
        return 1 if per is Per.MACHINE else counts[per]


ANYWHERE = Applicability()


@dataclass(frozen=True, slots=True)
class Choice:
    """A part a position takes where its applicability holds."""

    part: PartKey
    applies: Applicability = ANYWHERE
    nature: Nature = Nature.PLAIN


@dataclass(frozen=True, slots=True)
class PartNeed:
    """What work needs at one position: exactly one of the choices, and how much. A quantity of None is not recorded."""

    position: str
    choices: tuple[Choice, ...]
    quantity: int | None = 1
    per: Per = Per.MACHINE
    unit: Unit = Unit.EACH


@dataclass(frozen=True, slots=True)
class Joint:
    """What opening a joint takes each time: washers, gaskets, one-time bolts. No goods here is known to take none."""

    code: str
    goods: tuple[PartNeed, ...]


@dataclass(frozen=True, slots=True)
class Task:
    """A piece of work. `opens` names joints, which take their goods once however many tasks open them."""

    code: str
    parts: tuple[PartNeed, ...] = ()
    opens: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Extra:
    """What a person adds. Without a position it is a consumable, fitted nowhere. `measured`: its size was.

    `component` says that it is of a kind that is fitted to engines: then nothing is settled before its place is told.
    """

    part: PartKey
    quantity: int
    asked_by: str
    position: str | None = None
    nature: Nature = Nature.PLAIN
    measured: bool = False
    component: bool = False


@dataclass(frozen=True, slots=True)
class Line:
    """One part at one position, for these tasks. `missing` is what must be known before it can be one.

    `part` is None where none is known for this engine, `quantity` where it cannot be told, `position` for what is
    fitted nowhere.
    """

    position: str | None
    part: PartKey | None
    quantity: int | None
    unit: Unit = Unit.EACH
    tasks: tuple[str, ...] = ()
    asked_by: str | None = None
    missing: tuple[Fact, ...] = ()


@dataclass(frozen=True, slots=True)
class LeftOut:
    """What a task names and a kit does not hold, with the reason."""

    position: str | None
    part: PartKey
    why: str
    tasks: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Contents:
    """Every need of the tasks is among the lines or among what is left out."""

    lines: tuple[Line, ...]
    left_out: tuple[LeftOut, ...]


@dataclass(frozen=True, slots=True)
class Engine:
    where: Where
    counts: EngineCounts
    joints: tuple[Joint, ...] = ()


@dataclass(frozen=True, slots=True)
class _Asked:
    """A need with the task it is of, and the joint where it is what a joint takes."""

    task: str
    need: PartNeed
    joint: str | None = None


def contents(
    tasks: Iterable[Task], engine: Engine, extras: tuple[Extra, ...] = (), *, licensed: bool | None = None
) -> Contents:
    """The lines for these tasks on that engine. A task named twice is done once.

    `licensed` says whether who fits the kit has the licence that some parts need; None is not known, and asked.
    Raises Invalid where two tasks have one code, or the plan measures one position in two units.
    """
    needs: dict[str, list[_Asked]] = {}
    unknown_joints: dict[str, list[str]] = {}
    joints = {joint.code: joint for joint in engine.joints}
    for task in _once(tasks):
        for need in task.parts:
            needs.setdefault(need.position, []).append(_Asked(task.code, need))
        for code in task.opens:
            if code not in joints:
                unknown_joints.setdefault(code, []).append(task.code)
                continue
            for need in joints[code].goods:
                needs.setdefault(need.position, []).append(_Asked(task.code, need, code))
    found = [entry for position, asked in needs.items() for entry in _at(position, asked, engine, licensed=licensed)]
    found += [_joint_line(code, tuple(opened)) for code, opened in unknown_joints.items()]
    found += [extra_line(extra, licensed=licensed) for extra in extras]
    return Contents(
        tuple(entry for entry in found if isinstance(entry, Line)),
        tuple(entry for entry in found if isinstance(entry, LeftOut)),
    )


def _once(tasks: Iterable[Task]) -> list[Task]:
    found: dict[str, Task] = {}
    for task in tasks:
        if found.setdefault(task.code, task) != task:
            raise Invalid(f"Two tasks are called {task.code}; give each its own code.", code="named_twice")
    return list(found.values())


def _at(position: str, asked: list[_Asked], engine: Engine, *, licensed: bool | None) -> list[Line | LeftOut]:
    """What one position takes: one line where all tasks want the same part there, a line each with a question else."""
    chosen: dict[PartKey | None, list[_Asked]] = {}
    missing: dict[PartKey | None, dict[Fact, None]] = {}
    natures: dict[PartKey | None, Nature] = {}
    for entry in asked:
        choice, facts = _choose(entry.need, engine.where)
        part = choice.part if choice else None
        chosen.setdefault(part, []).append(entry)
        missing.setdefault(part, {}).update(dict.fromkeys(facts))
        if choice and natures.get(part, Nature.PLAIN) is Nature.PLAIN:
            natures[part] = choice.nature
    several = _several(position, [part for part in chosen if part is not None])
    lines: list[Line | LeftOut] = []
    for part, entries in chosen.items():
        tasks = tuple(dict.fromkeys(entry.task for entry in entries))
        nature = natures.get(part, Nature.PLAIN)
        why = keeps_out(nature, licensed=licensed)
        if why and part is not None:
            lines.append(LeftOut(position, part, why, tasks))
            continue
        quantity, unit, facts = _amount(position, entries, engine.counts)
        lines.append(
            Line(
                position,
                part,
                quantity,
                unit,
                tasks,
                None,
                (*missing[part], *facts, *several, *who_fits(part, nature, licensed)),
            )
        )
    return lines


def _choose(need: PartNeed, where: Where) -> tuple[Choice | None, tuple[Fact, ...]]:
    """The one choice that holds for this engine, or what must be known to name it."""
    truths = [(choice, choice.applies.holds(where)) for choice in need.choices]
    holding = [choice for choice, truth in truths if truth.holds]
    parts = {choice.part for choice in holding}
    doubts = [truth for choice, truth in truths if truth.holds is None and {choice.part} != parts]
    facts = tuple(dict.fromkeys(fact for truth in doubts for fact in truth.missing))
    if facts:
        return None, facts
    if len(parts) == 1 and not doubts:
        return holding[0], ()
    words = f"The plan names {_named(parts)} for this engine" if parts else "The plan names no part for this engine"
    return None, (Fact(f"part at {need.position}", f"Which part does {need.position} take? {words}."),)


def _several(position: str, parts: list[PartKey]) -> tuple[Fact, ...]:
    if len(parts) < 2:
        return ()
    words = f"Which part does {position} take? Tasks of this kit name {_named(parts)}."
    return (Fact(f"part at {position}", words),)


def _named(parts: Iterable[PartKey]) -> str:
    return " and ".join(sorted(" ".join(part) for part in parts))


def _amount(position: str, asked: list[_Asked], counts: EngineCounts) -> tuple[int | None, Unit, tuple[Fact, ...]]:
    """The most that any of the tasks needs: a part renewed for one of them is renewed for all.

    What is in several joints is as much as all of these take, each opened once.
    """
    units = {entry.need.unit for entry in asked}
    if len(units) > 1:
        raise Invalid(f"The plan measures {position} in pieces and by volume; give one.", code="mixed_units")
    missing: dict[Fact, None] = {}
    most: dict[str | None, int] = {}
    for entry in asked:
        times = counts.of(entry.need.per)
        if entry.need.quantity is None:
            missing[Fact(f"quantity at {position}", f"How much does {position} take for {entry.task}?")] = None
        elif times is None:
            missing[Fact(f"{entry.need.per}s", f"How many {entry.need.per}s does this engine have?")] = None
        else:
            most[entry.joint] = max(most.get(entry.joint, 0), entry.need.quantity * times)
    in_joints = sum(amount for joint, amount in most.items() if joint is not None)
    shared = _shared(position, asked, room=counts.places.get(position, 0) >= in_joints)
    missing = dict.fromkeys((*shared, *missing))
    return (None if missing else max(most.get(None, 0), in_joints)), units.pop(), tuple(missing)


def _shared(position: str, asked: list[_Asked], *, room: bool) -> tuple[Fact, ...]:
    """Goods of two joints at one position may be the same piece or two, unless the engine has as many there."""
    joints = sorted({entry.joint for entry in asked if entry.joint is not None})
    if len(joints) < 2 or room:
        return ()
    words = f"The joints {' and '.join(joints)} both take goods at {position}: does each take its own?"
    words += " The quantity recorded at that position of the specification tells."
    return (Fact(f"quantity at {position}", words),)


def _joint_line(code: str, tasks: tuple[str, ...]) -> Line:
    question = f"Which washers, gaskets and one-time bolts does the joint {code} take? None are recorded, nor that it "
    return Line(None, None, None, tasks=tasks, missing=(Fact(f"goods of joint {code}", question + "takes none."),))


def who_fits(part: PartKey | None, nature: Nature, licensed: bool | None) -> tuple[Fact, ...]:  # noqa: FBT001 - a state
    """What must be known before a part that takes a licence is one to fit."""
    if part is None or nature is not Nature.LICENSED or licensed is not None:
        return ()
    return (Fact("licence to fit", f"Who fits {' '.join(part)}, and with which licence?"),)


def extra_line(extra: Extra, *, licensed: bool | None) -> Line | LeftOut:
    """What a person puts in, as a line or with why it stays out. Raises Invalid for less than one piece."""
    why = keeps_out(extra.nature, asked_for=True, measured=extra.measured, licensed=licensed)
    if why:
        return LeftOut(extra.position, extra.part, why)
    if extra.quantity < 1:
        raise Invalid("What is added to a kit is at least one piece.", code="quantity")
    missing = (*_place(extra), *who_fits(extra.part, extra.nature, licensed))
    return Line(extra.position, extra.part, extra.quantity, asked_by=extra.asked_by, missing=missing)


@dataclass(slots=True)
class Filled:
    """What stands where in a kit: of its work by position, and the parts that people put in at positions."""

    work: dict[str, PartKey | None] = field(default_factory=dict)
    put_in: set[tuple[str, PartKey]] = field(default_factory=set)

    def add(self, position: str | None, part: PartKey | None, *, by_hand: bool) -> None:
        if position is None:
            return
        if not by_hand:
            self.work[position] = part
        elif part is not None:
            self.put_in.add((position, part))

    def take(self, extra: Extra) -> None:
        """Count what somebody puts in. Raises Invalid where its place is taken.

        The kit would hold parts for two where the engine has room for one (common practice, no source).
        """
        at = extra.position
        if at is not None and (at in self.work or (at, extra.part) in self.put_in):
            there = self.work.get(at, extra.part)
            words = f"The kit has {' '.join(there) if there else 'a line'} at {at} already. To take more of it, change "
            words += "that line's quantity; to take another part, remove that line with the reason and put it in then."
            raise Invalid(words, code="position_filled")
        self.add(at, extra.part, by_hand=True)


def _place(extra: Extra) -> tuple[Fact, ...]:
    if extra.position is not None or not extra.component:
        return ()
    name = " ".join(extra.part)
    return (Fact(f"position of {name}", f"At which position of the engine does {name} go?"),)
