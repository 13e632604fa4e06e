"""Rows to frozen values, in a number of statements that does not grow with the catalogue."""

from catalog.loading.holds import holds_on
from catalog.loading.machines import LoadedMachine, as_it_stands, machines, still_said, unchanged
from catalog.loading.remembered import forget
from catalog.loading.rows import (
    LoadedPart,
    LoadedSpecification,
    LoadedStatement,
    PositionText,
    Wanted,
    parts_answering,
    positions_naming,
    specification_numbers,
    specifications,
    statements,
)
from catalog.loading.standing import Standing, load_rulebook, load_rulebook_numbered, standing
from catalog.loading.supersessions import LoadedSupersession, parts_in, supersessions
from catalog.loading.values import (
    fuels_from,
    part_from,
    position_from,
    stage_from,
    statement_from,
    supersession_from,
)

__all__ = [
    "LoadedMachine",
    "LoadedPart",
    "LoadedSpecification",
    "LoadedStatement",
    "LoadedSupersession",
    "PositionText",
    "Standing",
    "Wanted",
    "as_it_stands",
    "forget",
    "fuels_from",
    "holds_on",
    "load_rulebook",
    "load_rulebook_numbered",
    "machines",
    "part_from",
    "parts_answering",
    "parts_in",
    "position_from",
    "positions_naming",
    "specification_numbers",
    "specifications",
    "stage_from",
    "standing",
    "statement_from",
    "statements",
    "still_said",
    "supersession_from",
    "supersessions",
    "unchanged",
]
