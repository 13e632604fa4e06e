"""The table `supersessions`: numbers that replace numbers, in their document form."""

from __future__ import annotations

from catalog.domain.import_cells import counted_part, serial_range
from catalog.domain.import_parts import source_of, undamaged
from catalog.domain.import_rows import Gathering, RowReader
from catalog.domain.import_tables import CODE_LENGTH, Aggregate, Column, Reading, Table
from catalog.domain.supersessions import SupersessionKind

_FACETS = ("serials", "any_fuel", "all_fuels", "places")
_ALL = ("kind", "from", "to", "both_ways", "model", "spec", *_FACETS, "source_kind", "source")


def _key(row: RowReader) -> tuple[str, ...] | None:
    """The whole sentence: two rows that say the same are one supersession."""
    kind, old = row.needed("kind", "the kind of replacement"), row.needed("from", "the numbers that are replaced")
    return None if kind is None or old is None else tuple(row.text(column) or "" for column in _ALL)


def _read(row: RowReader, stated: Gathering, _: Reading) -> None:
    stated.put("kind", row.one_of("kind", SupersessionKind), row.cell("kind"))
    for side in ("from", "to"):
        undamaged(row, side)
        parts = row.each(side, counted_part, known_by=lambda entry: (*entry["part"].values(),))
        stated.put(side, parts or [], row.cell(side))
    stated.put("both_ways", row.flag("both_ways") or False, row.cell("both_ways"))
    model, spec = row.text("model", longest=CODE_LENGTH), row.text("spec", longest=CODE_LENGTH)
    if (model is None) != (spec is None):
        row.refuse("spec", "missing", "Give model and specification number together, or neither for every engine.")
    stated.put("spec", {"model": model, "spec": spec} if model and spec else None, row.cell("spec"))
    facets = {facet: row.several(facet) or [] for facet in _FACETS if facet != "serials"}
    applicability = {
        "serials": row.each("serials", serial_range, known_by=lambda entry: (*entry.values(),)) or [],
        **facets,
    }
    stated.put("applicability", applicability, row.whole_row)
    stated.cells |= {f"/applicability/{facet}": row.cell(facet) for facet in _FACETS}
    stated.put("source", source_of(row), row.cell("source"))


SUPERSESSIONS = Table(
    name="supersessions",
    says="A replacement a row. It is added where it is not there yet.",
    aggregate=Aggregate.SUPERSESSION,
    key=_key,
    read=_read,
    columns=(
        Column("kind", "one_for_one: each old number by itself is now the new one. together: the old ones together are "
               "now the new ones. set: the one old number is now all of a set. discontinued: nothing replaces it.",
               "one_for_one", needed=True),
        Column("from", "The old numbers: maker, a space, number, and how many where it is not one.", "OLM 7701",
               needed=True),
        Column("to", "The new numbers, written like from; empty where nothing replaces it.",
               "OLM 7702 x2 | OLM 7703 x4"),
        Column("both_ways", "yes where the old number may still be used as the new one may; no where it is empty.",
               "yes"),
        Column("model", "The engine model it holds for; empty is every engine.", "VRD-H40"),
        Column("spec", "The number of the build, with model.", "S-131"),
        Column("serials", "The serial numbers it holds for, both ends included; empty is all of them.", "120000.."),
        Column("any_fuel", "It holds where one of these fuels is burned.", "lpg_liquid | lpg_vapour"),
        Column("all_fuels", "It holds where nothing but these fuels is burned.", "natural_gas"),
        Column("places", "The places of use it holds for; empty is all of them.", "outdoor"),
        Column("source_kind", "What sort of source says it.", "maker", needed=True),
        Column("source", "The source itself.", "service bulletin 12", needed=True),
    ),
)  # fmt: skip
