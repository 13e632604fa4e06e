"""What is known of shipping a part when nobody has recorded it: plain mechanical goods are articles, the rest is asked.

Common practice, no source; wet batteries UN2794 and LP-gas UN1075 from memory of 49 CFR 172.101.
"""

from __future__ import annotations

from catalog.domain.parts import SuppliedAs
from kits.domain.packing import TransportClass

# Categories whose goods hold, or may hold, what is dangerous to ship.
MAY_BE_DANGEROUS = frozenset({"battery", "container", "coolant", "engine_oil"})


def unless_recorded(category: str, supplied_as: SuppliedAs | None, known_categories: frozenset[str]) -> TransportClass:
    """Nothing is ever called not dangerous here: only its safety sheet says that."""
    plain = category in known_categories and category not in MAY_BE_DANGEROUS
    return TransportClass.ARTICLE if plain and supplied_as is not SuppliedAs.VOLUME else TransportClass.UNKNOWN
