"""What parts hold, carried into the derived texts of all that rest on it, in the transaction that changed it."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field

from catalog.models import Part, PartContent, Status
from catalog.models.facts import Held, by_itself, with_contents
from catalog.models.held import derive_held, resting_on
from service.errors import Invalid

ROWS_A_STATEMENT = 500


class ContentsCircular(Invalid):
    """A part would be found inside itself."""

    code = "contents_circular"


def carry_contents(changed: Collection[int], version: int) -> frozenset[int]:
    """Put contents and matched sets into the texts of these parts and of all that hold them.

    Answers the parts whose text is another now, and stamps them with the version. Raises ContentsCircular. The number
    of statements grows with how deep kits lie in kits, not with how many parts there are.
    """
    shelf = _Shelf.around(changed)
    written = []
    for part in shelf.resting():
        text = shelf.text_of(part)
        if text != part.facts:
            part.facts, part.changed_in = text, version
            written.append(part)
    if written:
        Part.objects.bulk_update(written, ["facts", "changed_in"], batch_size=ROWS_A_STATEMENT)
    holding = [part.pk for part in shelf.resting() if part.held or part.pk in shelf.contents]
    if holding:
        derive_held(holding)
    return frozenset(part.pk for part in written)


@dataclass(slots=True)
class _Shelf:
    """The parts concerned, what each holds, and the set each is a piece of; texts are made from the inside out."""

    concerned: frozenset[int]
    parts: Mapping[int, Part]
    contents: Mapping[int, list[PartContent]]
    set_of: Mapping[int, int]
    texts: dict[int, str] = field(default_factory=dict)
    open: list[int] = field(default_factory=list)

    @classmethod
    def around(cls, changed: Collection[int]) -> _Shelf:
        concerned = resting_on(set(changed) | _pieces_of_sets(changed))
        sets = dict(
            PartContent.objects.filter(part__in=concerned, only_together=True).values_list("part", "container")
        )  # fmt: skip
        contents: dict[int, list[PartContent]] = {}
        for row in PartContent.objects.filter(container__in={*concerned, *sets.values()}):
            contents.setdefault(row.container_id, []).append(row)
        named = {*concerned, *sets.values(), *(row.part_id for rows in contents.values() for row in rows)}
        parts = Part.objects.select_related("maker").filter(pk__in=named)
        return cls(concerned, {part.pk: part for part in parts}, contents, sets)

    def resting(self) -> Iterable[Part]:
        return (self.parts[number] for number in sorted(self.concerned) if number in self.parts)

    def text_of(self, part: Part) -> str:
        if part.pk not in self.concerned:
            return part.facts
        if part.pk in self.open:
            inside = " > ".join(self.parts[number].shown for number in (*self.open, part.pk))
            raise ContentsCircular(f"A part cannot hold itself: {inside}. Take one of them out.", pointer="/contains")
        if part.pk not in self.texts:
            self.open.append(part.pk)
            self.texts[part.pk] = self._made(part)
            self.open.pop()
        return self.texts[part.pk]

    def _made(self, part: Part) -> str:
        held = self._held(part.pk)
        set_number = self.set_of.get(part.pk)
        if not held and set_number is None:
            return by_itself(part.facts)
        pieces = None if set_number is None else (self.parts[set_number].number, self._pieces(set_number))
        return with_contents(part.facts, held, pieces)

    def _held(self, container: int) -> list[Held]:
        found = []
        for row in self.contents.get(container, ()):
            inner = self.parts[row.part_id]
            gone = inner.status == Status.WITHDRAWN
            found.append(Held(self.text_of(inner), inner.maker.code, inner.number, row.quantity, gone))
        return found

    def _pieces(self, container: int) -> list[Held]:
        """The pieces of a set by name: their texts are not needed, and would lead round in a circle."""
        rows = self.contents.get(container, ())
        named = ((self.parts[row.part_id], row.quantity) for row in rows)
        return [Held("", piece.maker.code, piece.number, count) for piece, count in named]


def _pieces_of_sets(changed: Collection[int]) -> set[int]:
    """The pieces of the sets among these parts: their texts name the whole set."""
    rows = PartContent.objects.filter(container__in=changed, only_together=True)
    return set(rows.values_list("part", flat=True))
