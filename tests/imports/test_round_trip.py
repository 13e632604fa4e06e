"""The demo catalogue written out as one workbook and imported into an empty catalogue is the same catalogue."""

import io

import pytest
import xlsxwriter

from catalog.domain.import_tables import Aggregate
from catalog.domain.import_writing import written_tables
from catalog.models import EngineSpecification, Machine, Part, PartContent, PartNeed, Statement, Supersession
from catalog.models.facts import by_itself
from kits.models import PlanPart
from tests.api.world import Desk
from tests.demo_world import documents, rulebook
from tests.imports.importer import imported

pytestmark = pytest.mark.db
Catalogue = tuple[dict[str, object], dict[str, str], list[str]]


def catalogue() -> Catalogue:
    parts = Part.objects.select_related("maker").prefetch_related("barcodes")
    facts: dict[str, object] = {
        part.shown: (by_itself(part.facts), sorted((code.code, code.pack_quantity) for code in part.barcodes.all()))
        for part in parts
    }
    built = {row.shown: row.facts for row in EngineSpecification.objects.all()}
    fields = ("kind", "by", "source_citation", "serials", "any_fuel", "all_fuels", "places", "position__code")
    stated = Statement.objects.values_list("part__maker__code", "part__number", "specification__spec", *fields)
    return facts, built, sorted(repr(row) for row in stated)


def workbook() -> bytes:
    kept = io.BytesIO()
    parts, engines, said = (
        documents(kind) for kind in (Aggregate.PART, Aggregate.SPECIFICATION, Aggregate.STATEMENT)
    )  # fmt: skip
    with xlsxwriter.Workbook(kept, {"in_memory": True}) as book:
        for name, rows in written_tables(parts, engines, said, rulebook().attributes).items():
            sheet, header = book.add_worksheet(name), list(dict.fromkeys(column for row in rows for column in row))
            for line, cells in enumerate([header, *([row.get(column, "") for column in header] for row in rows)]):
                for place, cell in enumerate(cells):
                    sheet.write_string(line, place, cell)
    return kept.getvalue()


def test_the_demo_written_out_and_imported_is_the_same_catalogue(desk: Desk) -> None:
    before = catalogue()
    for rows in (Machine, Supersession, Statement, PartContent, PartNeed):
        rows.objects.all().delete()
    PlanPart.objects.all().delete()
    Part.objects.all().delete()
    EngineSpecification.objects.all().delete()
    done = imported(desk, workbook(), name="catalogue.xlsx")
    assert done.problems == ()
    assert catalogue() == before
    assert imported(desk, workbook(), name="catalogue.xlsx").counts == (0, 0, sum(done.counts))
