"""Worked examples of specifications, statements and supersessions, invented, for the API's description."""

from __future__ import annotations

from typing import Any

from catalog.api.examples import OTHER_PART, PART, PROVENANCE, SOURCE
from catalog.api.machine_examples import page

SPEC = {"model": "TSK-R60", "spec": "N-43"}
EVERYWHERE: dict[str, Any] = {"serials": [], "any_fuel": [], "all_fuels": ["natural_gas"], "places": []}
STATEMENT_BODY: dict[str, Any] = {
    "kind": "specified",
    "part": {"maker": "TSK", "number": "4470"},
    "spec": SPEC,
    "position": "spark_plug",
    "by": "TSK",
    "applicability": {"all_fuels": ["natural_gas"]},
    "source": SOURCE,
}
STATEMENT = {**STATEMENT_BODY, "id": 12, "part": PART, "applicability": EVERYWHERE, "status": "active"}
STATEMENT_PAGE = page(STATEMENT)
SUPERSESSION = {
    "id": 4,
    "kind": "one_for_one",
    "from": [{"part": PART, "quantity": 1}],
    "to": [{"part": OTHER_PART, "quantity": 1}],
    "both_ways": False,
    "spec": SPEC,
    "applicability": {**EVERYWHERE, "serials": [{"first": 61500, "last": None, "prefix": ""}], "all_fuels": []},
    "status": "active",
    "source": SOURCE,
}
SUPERSESSION_PAGE = page(SUPERSESSION)
POSITION_BODY: dict[str, Any] = {
    "code": "spark_plug", "name": "spark plug", "category": "spark_plug", "quantity": 6,
}  # fmt: skip
SPECIFICATION_BODY: dict[str, Any] = {
    "maker": "TSK",
    **SPEC,
    "name": "genset, two gases",
    "cylinders": 6,
    "heads": 1,
    "fuels": ["natural_gas", "lpg_vapour"],
    "positions": [POSITION_BODY],
    "supply_stages": [{"fuel": "natural_gas", "kind": "regulator"}],
}
HEAD = {
    "id": 9,
    "maker": "TSK",
    **SPEC,
    "name": "genset, two gases",
    "cylinders": 6,
    "heads": 1,
    "fuels": ["natural_gas", "lpg_vapour"],
    "serial_prefixes": [""],
    "status": "active",
}
SPECIFICATION_PAGE = {**page(HEAD), **PROVENANCE}
SPECIFICATION = {
    **HEAD,
    **PROVENANCE,
    "positions": [
        {
            **POSITION_BODY,
            "branch": None,
            "carries_fuel": True,
            "adapter_forbidden": "",
            "ports": [],
            "media": [],
            "demands": [],
            "parts": [STATEMENT],
            "inside": [],
        }
    ],
    "supply_stages": [{"fuel": "natural_gas", "kind": "regulator", "position": None}],
}
