"""Bubble and dew curves of mixtures, computed once and read between their points.

A mixture costs the reference equations about half a millisecond a point for two fluids, two for five, and near its
critical point the search fails at single points; Peng-Robinson is ten times faster and up to 2 % off in propane and
propene. So the reference equations are asked at some thirty temperatures, and Peng-Robinson only looks over their
shoulder: a point where the two differ by more than a tenth is not used.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from math import exp, log

from catalog.domain.supply.fluids import Mixture, OutOfRange
from catalog.fluid_properties.library import Equation, named, nature, saturated

_POINTS = 32
_COLDEST, _HOTTEST = 0.5, 0.98  # of the mole average of the critical temperatures
_MOST_APART = 0.1  # between the two equations, of the pressure
_LONGEST_GAP = 2  # single points that fail are read across, more end the curve
_EDGE = {0: "bubble", 1: "dew"}


@dataclass(frozen=True, slots=True)
class Curve:
    """Rising points of a saturation line: minus 1/K, and the logarithm of Pa absolute. Nearly straight so."""

    mixture: Mixture
    quality: int
    inverse: tuple[float, ...]
    logarithm: tuple[float, ...]

    def pascal(self, kelvin: float) -> float:
        """Pa absolute at a temperature. Raises OutOfRange beyond the ends."""
        return exp(self._read(self.inverse, self.logarithm, -1 / kelvin if kelvin > 0 else float("nan")))

    def kelvin(self, pascal: float) -> float:
        """K at a pressure. Raises OutOfRange beyond the ends."""
        return -1 / self._read(self.logarithm, self.inverse, log(pascal) if pascal > 0 else float("nan"))

    def _read(self, given: tuple[float, ...], wanted: tuple[float, ...], at: float) -> float:
        if not (given and given[0] <= at <= given[-1]):
            raise OutOfRange(f"The {_EDGE[self.quality]} line of {named(self.mixture)} is known {self._reach()} only.")
        first = min(max(bisect_left(given, at) - 2, 0), len(given) - 4)
        return _through(given[first : first + 4], wanted[first : first + 4], at)

    def _reach(self) -> str:
        if not self.inverse:
            return "nowhere"
        cold, hot = (-1 / self.inverse[end] - 273.15 for end in (0, -1))
        low, high = (exp(self.logarithm[end]) / 1000 for end in (0, -1))
        return f"from {cold:.0f} to {hot:.0f} degC ({low:.3g} to {high:.4g} kPa absolute)"


@lru_cache(maxsize=512)
def curve(mixture: Mixture, quality: int) -> Curve:
    """The bubble line (quality 0) or dew line (1) of a mixture, as far as it can be trusted; empty where it cannot."""
    run = _longest([(-1 / kelvin, log(pascal)) for kelvin, pascal in _points(mixture, quality)], _step(mixture))
    if len(run) < 4:
        return Curve(mixture, quality, (), ())
    return Curve(mixture, quality, tuple(point[0] for point in run), tuple(point[1] for point in run))


def _step(mixture: Mixture) -> float:
    """The distance of two temperatures of a curve, K."""
    return nature(mixture).critical_kelvin * (_HOTTEST - _COLDEST) / (_POINTS - 1)


def _points(mixture: Mixture, quality: int) -> Iterator[tuple[float, float]]:
    coldest, step = nature(mixture).critical_kelvin * _COLDEST, _step(mixture)
    for number in range(_POINTS):
        kelvin = coldest + number * step
        try:
            pascal = saturated(mixture, quality, kelvin).pascal
            other = saturated(mixture, quality, kelvin, Equation.CUBIC).pascal
        except OutOfRange:
            continue
        if abs(other - pascal) <= _MOST_APART * pascal:
            yield kelvin, pascal


def _longest(points: Sequence[tuple[float, float]], step: float) -> list[tuple[float, float]]:
    """The longest run without a long gap in which the pressure rises with the temperature."""
    runs: list[list[tuple[float, float]]] = [[]]
    for inverse, logarithm in points:
        last = runs[-1][-1] if runs[-1] else None
        broken = last and (logarithm <= last[1] or -1 / inverse + 1 / last[0] > (_LONGEST_GAP + 0.5) * step)
        if broken:
            runs.append([])
        runs[-1].append((inverse, logarithm))
    return max(runs, key=len)


def _through(given: Sequence[float], wanted: Sequence[float], at: float) -> float:
    """The cubic through four points (Neville)."""
    values = list(wanted)
    for width in range(1, len(values)):
        for index in range(len(values) - width):
            low, high = given[index], given[index + width]
            values[index] = ((at - low) * values[index + 1] + (high - at) * values[index]) / (high - low)
    return values[0]
