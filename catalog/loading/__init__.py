"""Rows to frozen values, in a number of statements that does not grow with the catalogue."""

from catalog.loading.holds import holds_inside, holds_on
from catalog.loading.lookup_statements import MOST_OF_A_LIST
from catalog.loading.lookups import (
    Shelf,
    by_first_keys,
    by_further_keys,
    by_slips,
    candidates,
    look_alikes,
    makers,
    with_replacing,
)
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
from catalog.loading.standing import Standing, load_rulebook, load_rulebook_numbered, standing, standing_last_seen
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
    "MOST_OF_A_LIST",
    "LoadedMachine",
    "LoadedPart",
    "LoadedSpecification",
    "LoadedStatement",
    "LoadedSupersession",
    "PositionText",
    "Shelf",
    "Standing",
    "Wanted",
    "as_it_stands",
    "by_first_keys",
    "by_further_keys",
    "by_slips",
    "candidates",
    "forget",
    "fuels_from",
    "holds_inside",
    "holds_on",
    "load_rulebook",
    "load_rulebook_numbered",
    "look_alikes",
    "machines",
    "makers",
    "part_from",
    "parts_answering",
    "parts_in",
    "position_from",
    "positions_naming",
    "specification_numbers",
    "specifications",
    "stage_from",
    "standing",
    "standing_last_seen",
    "statement_from",
    "statements",
    "still_said",
    "supersession_from",
    "supersessions",
    "unchanged",
    "with_replacing",
]
