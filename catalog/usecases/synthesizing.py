"""A catalogue as large as one likes: the demo, and generated parts written piece by piece."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import datetime

from catalog.domain.import_reading import TableText, gather
from catalog.models import Part
from catalog.usecases.catalogue_writes import MOST_AGGREGATES
from catalog.usecases.demo_dealership import load_demo
from catalog.usecases.generating_parts import MAKER, generated_parts
from catalog.usecases.part_writing import save_parts
from catalog.usecases.reading import published
from catalog.usecases.table_reading import drafts_of


def synthesize(
    tables: tuple[TableText, ...], count: int, clock: Callable[[], datetime], *, seed: int = 1
) -> Iterator[tuple[int, int]]:
    """Bring the demo in and fill the catalogue up to `count` parts; yields (parts there, parts wanted) as it goes.

    Whatever is there already stays, so that a run that was cut short is taken up by the next one.
    """
    load_demo(tables, clock())
    rulebook = published().rulebook
    models = drafts_of(gather(tables, rulebook.attributes), rulebook).parts
    there, made = Part.objects.count(), Part.objects.filter(maker__code=MAKER).count()
    yield there, count
    while there < count:
        piece = generated_parts(models, rulebook, min(MOST_AGGREGATES, count - there), seed, start=made)
        save_parts(piece, clock())
        there, made = there + len(piece), made + len(piece)
        yield there, count
