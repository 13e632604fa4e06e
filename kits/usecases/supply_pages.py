"""The supply line of a machine as its page shows it: stages in order, what was found, pressures along it."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from catalog.usecases.supply_checking import Weighed, weigh_supply
from service.operations.models import Dealer
from service.plots import Curve, Ink, Plot

Document = dict[str, Any]
PASCAL = {"psi": 6894.757293, "kPa": 1000.0}
DEGREES = {"degC": "degrees C", "degF": "degrees F"}


def supply_view(body: Mapping[str, Any], dealer: Dealer, now: datetime, units: Any) -> Document:
    """The answer with its pressures along the line. Raises what `weigh_supply` raises."""
    weighed = weigh_supply(body, dealer=dealer, now=now, units=units)
    document = weighed.document
    return {**document, "stages": _stages(document), "along": _along(weighed)}


def _stages(document: Mapping[str, Any]) -> list[Document]:
    return [
        {**stage, "name": _plain(stage["name"] or stage["stage"]), "decides": stage["stage"] == document["governing"]}
        for stage in document["stages"]
    ]


def _along(weighed: Weighed) -> Document | None:
    """Gauge pressure that reaches each stage in the coldest, the middle and the hottest air; None where none is known.

    What is not worked out at a stage is None there.
    """
    plot = weighed.document["plot"]
    if plot is None:
        return None
    unit, air = plot["pressure"]["unit"], plot["temperature"]["values"]
    zero, picked = weighed.atmosphere / PASCAL[unit], sorted({0, len(air) // 2, len(air) - 1})
    names = {stage["stage"]: _plain(stage["name"] or stage["stage"]) for stage in weighed.document["stages"]}
    return {
        "unit": unit,
        "air": [f"{air[at]:.0f} {DEGREES[plot['temperature']['unit']]}" for at in picked],
        "rows": [
            {
                "stage": names.get(series["stage"], _plain(series["stage"])),
                "phase": series["phase"],
                "gauge": [_gauge(series["values"][at], zero) for at in picked],
            }
            for series in plot["series"]
        ],
    }


def _gauge(absolute: float | None, zero: float) -> float | None:
    # Nought is added so that a pressure just below it is not shown as minus nought.
    return None if absolute is None else round(absolute - zero, 1) + 0.0


def pressure_plot(view: Mapping[str, Any]) -> Plot | None:
    """None where no pressure along the line is known."""
    along = view["along"]
    if along is None or not any(value is not None for row in along["rows"] for value in row["gauge"]):
        return None
    inks = (Ink.COLD, Ink.MIDDLE, Ink.HOT) if len(along["air"]) == 3 else (Ink.COLD, Ink.HOT)
    curves = [
        Curve(f"air at {air}", ink, tuple((float(place), row["gauge"][at]) for place, row in enumerate(along["rows"])))
        for at, (air, ink) in enumerate(zip(along["air"], inks, strict=False))
    ]
    return Plot(
        across="stage, from tank to engine", up=f"{along['unit']} gauge", curves=tuple(curves),
        steps=tuple(row["stage"] for row in along["rows"]),
    )  # fmt: skip


def _plain(code: str) -> str:
    return code.replace("_", " ")
