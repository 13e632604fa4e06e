"""Catalogues of many generated parts, heads and keys alone, and the same keys in a dict and cut into trigrams."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace

from django.db import connection

from catalog import loading
from catalog.domain.import_reading import gather
from catalog.models import Maker, Part, PartPiece
from catalog.usecases.catalogue_writes import catalogue_write
from catalog.usecases.generating_parts import generated_parts
from catalog.usecases.rulebooks import publish_rulebook
from catalog.usecases.table_reading import drafts_of
from tests.api.world import NOW, demo_catalogue, reference_document
from tests.benchmarks.served import empty_database

ROWS_A_TIME = 5_000


@contextmanager
def shelf_of(count: int) -> Iterator[dict[str, list[int]]]:
    """A database of that many parts with all that finding them asks for; yields the ids by key."""
    with empty_database():
        publish_rulebook(reference_document(), NOW)
        standing = loading.standing()
        rulebook = loading.load_rulebook(standing.rulebook, standing.digest)
        models = drafts_of(gather(demo_catalogue(), rulebook.attributes), rulebook).parts
        drafts = generated_parts([replace(draft, attributes=()) for draft in models], rulebook, count)
        with catalogue_write(NOW) as write:
            write.begin()
            maker = Maker.objects.create(code=drafts[0].maker, name=drafts[0].maker_name)
            rows = [Part(maker=maker, number=one.number, category=one.category, name=one.name) for one in drafts]
            for row in rows:
                row.derive_keys()
            for start in range(0, count, ROWS_A_TIME):
                written = Part.objects.bulk_create(rows[start : start + ROWS_A_TIME], batch_size=500)
                PartPiece.objects.write_for(written)
        with connection.cursor() as cursor:
            cursor.execute("ANALYZE")
        yield {row.number_key: [row.pk] for row in rows}
