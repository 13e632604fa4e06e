"""The one adapter to the plotting library. Figures are made without its global state, and drawn one at a time."""

from __future__ import annotations

import io
from datetime import date
from itertools import pairwise
from math import nan
from threading import Lock
from typing import Any

import matplotlib as mpl
from matplotlib import dates as untyped_dates
from matplotlib.axes import Axes
from matplotlib.backends.backend_svg import FigureCanvasSVG
from matplotlib.figure import Figure
from matplotlib.ticker import MaxNLocator

from service.plots import Across, Band, Curve, Ground, Ink, Plot, Shape, Sheet

# Text stays text, so that it is sharp, small and found; ids follow from what is drawn, not from chance.
mpl.rcParams.update(
    {"svg.fonttype": "none", "svg.hashsalt": "gudgeon", "font.family": ["DejaVu Sans"], "font.size": 10.5}
)
# The library's own types leave this part of it out.
_DATES: Any = untyped_dates
# Fonts and text layout are shared by all figures of a process.
_ONE_AT_A_TIME = Lock()

INCHES = {Shape.WIDE: (8.0, 4.2), Shape.NARROW: (4.4, 4.4)}
WORDS = {Ground.LIGHT: "#1d2326", Ground.DARK: "#ebe8e0"}
RULES = {Ground.LIGHT: "#d6d0c2", Ground.DARK: "#3a4243"}
# Of each ink the colour on light and on dark, how it is dashed, and its mark; colours are those of the style sheet.
INKS: dict[Ink, tuple[dict[Ground, str], str, str]] = {
    Ink.KNOWN: ({Ground.LIGHT: "#1f5c63", Ground.DARK: "#7cc4c9"}, "-", "o"),
    Ink.AHEAD: ({Ground.LIGHT: "#74500a", Ground.DARK: "#ecc976"}, "--", ""),
    Ink.COLD: ({Ground.LIGHT: "#3d4a78", Ground.DARK: "#b5c0ee"}, "-", "o"),
    Ink.MIDDLE: ({Ground.LIGHT: "#1d5f38", Ground.DARK: "#93d3a4"}, "--", "s"),
    Ink.HOT: ({Ground.LIGHT: "#8f2118", Ground.DARK: "#f3a398"}, "-.", "^"),
}
SHADE = 0.22


def drawn(plot: Plot, sheet: Sheet) -> bytes:
    ground = sheet.ground
    with _ONE_AT_A_TIME:
        figure = Figure(figsize=INCHES[sheet.shape], layout="constrained")
        canvas: Any = FigureCanvasSVG(figure)
        axes = figure.add_subplot()
        _frame(axes, plot, sheet)
        if plot.band is not None:
            _shade(axes, plot.band, ground)
        for curve in plot.curves:
            _line(axes, curve, ground)
        if plot.moment is not None:
            _moment(axes, *plot.moment, ground)
        _key(axes, plot, ground)
        out = io.BytesIO()
        # Without a date and without the library's version in it the bytes depend on the values alone.
        canvas.print_svg(out, metadata={"Date": None, "Creator": None})
        return out.getvalue()


def _frame(axes: Axes, plot: Plot, sheet: Sheet) -> None:
    ground, wide = sheet.ground, sheet.shape is Shape.WIDE
    axes.patch.set_alpha(0)
    axes.figure.patch.set_alpha(0)
    axes.set_xlabel(plot.across, color=WORDS[ground])
    axes.set_ylabel(plot.up, color=WORDS[ground])
    axes.tick_params(colors=WORDS[ground], color=RULES[ground])
    axes.grid(visible=True, color=RULES[ground], linewidth=0.6)
    axes.set_axisbelow(True)
    for side, spine in axes.spines.items():
        spine.set_visible(side in ("left", "bottom"))
        spine.set_color(RULES[ground])
    axes.yaxis.set_major_locator(MaxNLocator(6))
    if plot.steps:
        slant = 32 if wide else 60
        axes.set_xticks(range(len(plot.steps)), plot.steps, rotation=slant, ha="right", rotation_mode="anchor")
    elif _dated(plot):
        dates = _DATES.AutoDateLocator(minticks=2, maxticks=8 if wide else 4)
        axes.xaxis.set_major_locator(dates)
        axes.xaxis.set_major_formatter(_DATES.ConciseDateFormatter(dates, show_offset=False))


def _dated(plot: Plot) -> bool:
    return any(isinstance(at, date) for curve in plot.curves for at, _ in curve.points)


def _number(at: Across) -> float:
    return float(_DATES.date2num(at)) if isinstance(at, date) else at


def _line(axes: Axes, curve: Curve, ground: Ground) -> None:
    colours, dashes, mark = INKS[curve.ink]
    across = [_number(at) for at, _ in curve.points]
    up = [nan if height is None else height for _, height in curve.points]
    axes.plot(
        across, up, label=curve.name, color=colours[ground], linestyle=dashes, marker=mark, markersize=5, linewidth=1.8
    )


def _shade(axes: Axes, band: Band, ground: Ground) -> None:
    """Between the earliest and the latest end, from height to height."""
    colour = INKS[Ink.AHEAD][0][ground]
    heights = [height for _, _, height in band.rows]
    first, last = [_number(row[0]) for row in band.rows], [_number(row[1]) for row in band.rows]
    axes.fill_betweenx(heights, first, last, color=colour, alpha=SHADE, linewidth=0, label=band.name)
    for ends in (first, last):
        for (left, right), (below, above) in zip(pairwise(ends), pairwise(heights), strict=True):
            axes.plot([left, right], [below, above], color=colour, linewidth=0.8)


def _moment(axes: Axes, name: str, on: date, ground: Ground) -> None:
    axes.axvline(_number(on), color=WORDS[ground], linewidth=0.9, linestyle=":")
    place: Any = axes.get_xaxis_transform()
    axes.text(
        _number(on), 1.01, name, color=WORDS[ground], fontsize=9, ha="center", va="bottom", transform=place
    )  # fmt: skip


def _key(axes: Axes, plot: Plot, ground: Ground) -> None:
    if len(plot.curves) + (plot.band is not None) > 1:
        axes.legend(loc="best", frameon=False, labelcolor=WORDS[ground])
