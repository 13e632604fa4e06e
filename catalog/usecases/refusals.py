"""What a question or a catalogue file can be refused for, and telling all of it at once."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace

from service.errors import Conflict, DomainError, FieldProblem, Forbidden, Gone, Kind, NotFound, Problems


class UnknownPart(NotFound):
    code = "unknown_part"


class PossibleLostZero(UnknownPart):
    """The number differs from exactly one of that maker's by leading zeros; it is offered and never taken."""

    code = "possible_lost_zero"


class AmbiguousPart(Conflict):
    code = "ambiguous_part"


class PartWithdrawn(Gone):
    code = "part_withdrawn"


class UnknownMaker(UnknownPart):
    code = "unknown_maker"


class UnknownSpecification(NotFound):
    code = "unknown_specification"


class UnknownPosition(NotFound):
    code = "unknown_position"


class BarcodeTaken(Conflict):
    """The code is on another part's packages."""

    code = "barcode_taken"


class UnknownMachine(NotFound):
    code = "unknown_machine"


class UnknownCustomer(NotFound):
    code = "unknown_customer"


class Taken(Conflict):
    """Something that may be there once is there already."""

    code = "taken"


class UnknownPerson(NotFound):
    code = "unknown_person"


class AnotherPerson(Forbidden):
    """Approving in the name of somebody else."""

    code = "another_person"


class UnknownWorkOrder(NotFound):
    code = "unknown_work_order"


class WorkOrderElsewhere(Conflict):
    """It is on another machine, or on none."""

    code = "work_order_elsewhere"


class WorkOrderEnded(Conflict):
    """Closed or cancelled, which is for good."""

    code = "work_order_ended"


class WorkOrderApproved(Conflict):
    """An approval rests on it, and is for its machine."""

    code = "work_order_approved"


class AlreadyWithdrawn(Conflict):
    code = "already_withdrawn"


class HoldClosed(Conflict):
    code = "hold_closed"


class HoldConfirmed(Conflict):
    code = "hold_confirmed"


class MachineWithdrawn(Gone):
    code = "machine_withdrawn"


class PositionRemoved(NotFound):
    """Recorded as no longer there on this machine."""

    code = "position_removed"


class PositionInUse(Conflict):
    """Statements are about the position, so it cannot go."""

    code = "position_in_use"


class NoRulebook(Conflict):
    code = "no_rulebook"


class NoneOfThese(Problems):
    """Several things a body names are not there."""

    code = "not_found"
    kind = Kind.NOT_FOUND


class Gathered:
    """Errors of one body, collected so that they are all told at once."""

    def __init__(self) -> None:
        self.errors: list[DomainError] = []

    @contextmanager
    def each(self) -> Iterator[None]:
        try:
            yield
        except DomainError as error:
            self.errors.append(error)

    def tell(self) -> None:
        """Raise what was gathered: a single error as it is, several as one that lists them."""
        if not self.errors:
            return
        if len(self.errors) == 1:
            raise self.errors[0]
        problems = tuple(problem for error in self.errors for problem in _problems(error))
        missing = all(error.kind is Kind.NOT_FOUND for error in self.errors)
        raise NoneOfThese(problems) if missing else Problems(problems)


@contextmanager
def below(pointer: str) -> Iterator[None]:
    """Tell what a part of a body is refused for by pointers into the whole."""
    try:
        yield
    except Problems as error:
        error.problems = tuple(replace(one, pointer=f"{pointer}{one.pointer}") for one in error.problems)
        raise
    except DomainError as error:
        error.pointer = f"{pointer}{error.pointer or ''}"
        raise


@contextmanager
def as_one() -> Iterator[None]:
    """Tell what a list of one is refused for by pointers into that one."""
    try:
        yield
    except Problems as error:
        error.problems = tuple(replace(one, pointer=one.pointer.removeprefix("/0")) for one in error.problems)
        raise
    except DomainError as error:
        error.pointer = None if error.pointer is None else error.pointer.removeprefix("/0")
        raise


def _problems(error: DomainError) -> tuple[FieldProblem, ...]:
    if isinstance(error, Problems):
        return error.problems
    return (FieldProblem(error.pointer or "", error.code, error.message),)
