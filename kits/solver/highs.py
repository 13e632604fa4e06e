"""Integer programmes solved by HiGHS, which is loaded on first use.

Never to be called inside a transaction: it takes what time it is given.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import gcd, inf
from typing import TYPE_CHECKING

from kits.domain.order_plan.programme import Programme, Row, Solved

if TYPE_CHECKING:
    import highspy


class HighsSolver:
    """Deterministic for the same programme unless the time runs out. `threads` is how many it may use."""

    def __init__(self, threads: int = 1) -> None:
        self.threads = threads

    def solve(self, programme: Programme, start: Sequence[int], seconds: float) -> Solved:
        """The best plan found in that time, begun from `start`, and the bound proven."""
        if not programme.columns:
            return Solved((), 0.0)
        import highspy  # noqa: PLC0415

        scale = _scale(programme)
        model = self._model(programme, scale, whole=True)
        model.setOptionValue("time_limit", float(seconds))
        model.setOptionValue("mip_rel_gap", 0.0)
        begun = highspy.HighsSolution()
        begun.col_value = [float(value) for value in start]
        model.setSolution(begun)
        model.run()
        info = model.getInfo()
        bound = info.mip_dual_bound if model.getModelStatus() != highspy.HighsModelStatus.kInfeasible else 0.0
        if info.primal_solution_status != highspy.SolutionStatus.kSolutionStatusFeasible:
            return Solved(None, _finite(bound) * scale)
        values = model.getSolution().col_value
        return Solved(tuple(round(values[column]) for column in programme.packs), _finite(bound) * scale)

    def relaxed(self, programme: Programme) -> float:
        """The least cost with fractions of packs allowed; 0 where it was not found, which bounds just as well."""
        if not programme.columns:
            return 0.0
        import highspy  # noqa: PLC0415

        scale = _scale(programme)
        model = self._model(programme, scale, whole=False)
        model.run()
        if model.getModelStatus() != highspy.HighsModelStatus.kOptimal:
            return 0.0
        return float(model.getInfo().objective_function_value) * scale

    def _model(self, programme: Programme, scale: int, *, whole: bool) -> highspy.Highs:
        import highspy  # noqa: PLC0415
        import numpy as np  # noqa: PLC0415

        model = highspy.Highs()  # type: ignore[no-untyped-call]
        model.setOptionValue("output_flag", False)
        model.setOptionValue("threads", self.threads)
        lp = highspy.HighsLp()
        lp.num_col_, lp.num_row_ = len(programme.columns), len(programme.rows)
        lp.col_cost_ = np.array([column.cost // scale for column in programme.columns], dtype=np.double)
        lp.col_lower_ = np.zeros(len(programme.columns))
        lp.col_upper_ = np.array([column.most for column in programme.columns], dtype=np.double)
        lp.row_lower_ = np.array([_limit(row.least, -inf) for row in programme.rows], dtype=np.double)
        lp.row_upper_ = np.array([_limit(row.most, inf) for row in programme.rows], dtype=np.double)
        lp.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
        lp.a_matrix_.start_ = np.array(_starts(programme.rows), dtype=np.int32)
        lp.a_matrix_.index_ = np.array([one for row in programme.rows for one, _ in row.entries], dtype=np.int32)
        lp.a_matrix_.value_ = np.array([factor for row in programme.rows for _, factor in row.entries], dtype=np.double)
        kinds = highspy.HighsVarType.kContinuous, highspy.HighsVarType.kInteger
        lp.integrality_ = [kinds[whole and column.whole] for column in programme.columns]
        model.passModel(lp)
        return model


def _scale(programme: Programme) -> int:
    """What all costs have in common, so that the solver reckons in small numbers."""
    return gcd(*(column.cost for column in programme.columns)) or 1


def _limit(told: int | None, open_end: float) -> float:
    return open_end if told is None else float(told)


def _starts(rows: tuple[Row, ...]) -> list[int]:
    starts = [0]
    for row in rows:
        starts.append(starts[-1] + len(row.entries))
    return starts


def _finite(bound: float) -> float:
    return max(0.0, bound) if bound < inf else 0.0
