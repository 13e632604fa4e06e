"""A question without its candidate, and the case that stands for any part nobody makes a statement about."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

from catalog.domain.applicability import Application, located
from catalog.domain.case import Case
from catalog.domain.checking import case_of, counting
from catalog.domain.columnar.variants import ANYBODY
from catalog.domain.findings import Finding
from catalog.domain.parts import Part, Position
from catalog.domain.questions import NOTHING_REPLACED, Engine, Item, Question, Replacements
from catalog.domain.rules import Rulebook

_ANY_PART = Part(ANYBODY, ANYBODY, "")


@dataclass(frozen=True, slots=True)
class OpenQuestion:
    """What stands at one position of one engine, asked of many parts. `position` is the code of exactly one of it."""

    engine: Engine
    position: str
    application: Application = field(default_factory=Application)
    replaces: Part | None = None
    quantity: int | None = None
    replacements: Replacements = NOTHING_REPLACED

    def about(self, part: Part, rulebook: Rulebook) -> Question:
        """The question with a candidate, for the reference engine."""
        item = Item(part, self.quantity)
        return Question(
            rulebook, (item,), self.application, self.engine, self.position, self.replaces, self.replacements
        )


@dataclass(frozen=True, slots=True)
class Need:
    """An open question made ready: the case with any part as its candidate, and what the number asked for comes to.

    `named` are makers and numbers of parts that somebody says something of here, that stood here, or that replace
    others or are replaced.
    """

    asked: OpenQuestion
    case: Case
    counts: tuple[Finding, ...]
    named: frozenset[tuple[str, str]]

    @classmethod
    def of(cls, asked: OpenQuestion, rulebook: Rulebook) -> Need:
        """Raises ValueError where the engine has not exactly one such position: then no verdict is about one."""
        position, question = _position(asked), asked.about(_ANY_PART, rulebook)
        here = tuple(statement for statement in asked.engine.statements if statement.position == position.code)
        engine, where = replace(asked.engine, statements=here), located(asked.application, rulebook.fuels)
        case = case_of(question, engine, position, where, question.candidate[0])
        named = {statement.part.key for statement in here} | ({asked.replaces.key} if asked.replaces else set())
        named |= set(asked.replacements.numbered)
        return cls(asked, case, counting(question, position, case), frozenset(named))

    @property
    def kit(self) -> bool:
        """Whether a part is judged here by what it holds."""
        return bool(self.case.position.inside) or (self.case.category is not None and self.case.category.kit)

    def question(self, part: Part) -> Question:
        """The question with a candidate, for the reference engine."""
        return self.asked.about(part, self.case.rulebook)

    def case_of(self, part: Part) -> Case:
        """The case of one candidate by itself, as the reference engine makes it."""
        question = self.question(part)
        return case_of(question, self.asked.engine, self.case.position, self.case.where, question.candidate[0])


def _position(asked: OpenQuestion) -> Position:
    found = [position for position in asked.engine.positions if position.code == asked.position]
    if len(found) != 1:
        raise ValueError(
            f"{asked.engine.name} has {len(found)} positions {asked.position!r}; exactly one was expected."
        )
    return found[0]
