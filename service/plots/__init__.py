"""Plots as plain values, drawn as SVG by the one adapter to the plotting library, loaded on first use.

Knows nothing of parts. The same values give the same bytes, so that the tag of a plot is taken over its values.
"""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from typing import TypeAlias

Across: TypeAlias = float | date


class Ground(StrEnum):
    """What a plot is laid on; it is transparent itself."""

    LIGHT = "light"
    DARK = "dark"


class Shape(StrEnum):
    """How wide a plot is drawn: letters keep their size, so that a narrow screen shows them as large as a wide one."""

    WIDE = "wide"
    NARROW = "narrow"


@dataclass(frozen=True, slots=True)
class Sheet:
    """How a plot is wanted."""

    ground: Ground = Ground.LIGHT
    shape: Shape = Shape.WIDE


class Ink(StrEnum):
    """What a line or a band stands for, told apart by dashes and marks as well as by colour."""

    KNOWN = "known"  # what was read or measured
    AHEAD = "ahead"  # what is expected
    COLD = "cold"
    MIDDLE = "middle"
    HOT = "hot"


@dataclass(frozen=True, slots=True)
class Curve:
    """Points joined in their order, with a gap where one is not known; `name` is what the key says of it."""

    name: str
    ink: Ink
    points: tuple[tuple[Across, float | None], ...]


@dataclass(frozen=True, slots=True)
class Band:
    """What lies between two ends across, at each height: (earliest, latest, height)."""

    name: str
    rows: tuple[tuple[Across, Across, float], ...]


@dataclass(frozen=True, slots=True)
class Plot:
    """Curves over a band. `steps` names the places across where these are the whole numbers from 0 on.

    `moment` is a day across that a thin upright line marks, with its name.
    """

    across: str
    up: str
    curves: tuple[Curve, ...]
    band: Band | None = None
    steps: tuple[str, ...] = ()
    moment: tuple[str, date] | None = None

    def digest(self, sheet: Sheet) -> str:
        """Of all that is drawn, and of how."""
        return hashlib.sha256(f"{self!r}{sheet!r}".encode()).hexdigest()[:24]


def svg_of(plot: Plot, sheet: Sheet) -> bytes:
    """The plot as SVG, the same bytes for the same values."""
    from service.plots.drawing import drawn  # noqa: PLC0415 # the library takes a second to load

    return drawn(plot, sheet)
