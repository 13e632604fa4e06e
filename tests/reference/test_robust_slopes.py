"""Our median of slopes is that of scipy's `theilslopes`, the reference implementation of Theil 1950 and Sen 1968."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy import stats

from kits.statistics import RobustStatistics

pytestmark = pytest.mark.domain
points = st.lists(st.tuples(st.integers(0, 4_000), st.integers(0, 90_000)), min_size=2, max_size=25)


@given(points)
def test_the_slope_is_the_librarys(found: list[tuple[int, int]]) -> None:
    places, values = (tuple(float(point[n]) for point in found) for n in (0, 1))
    assume(len(set(places)) > 1)
    with np.errstate(invalid="ignore"):
        expected = stats.theilslopes(values, places).slope
    assert RobustStatistics().slope(places, values) == pytest.approx(float(expected), rel=1e-9, abs=1e-9)


def test_one_wrong_reading_does_not_move_it() -> None:
    days = (0.0, 7.0, 14.0, 21.0, 28.0, 35.0, 42.0)
    assert RobustStatistics().slope(days, (0.0, 70.0, 140.0, 900.0, 280.0, 350.0, 420.0)) == pytest.approx(10.0)
