"""The one adapter to the solver of integer programmes."""

from kits.solver.highs import HighsSolver

__all__ = ["HighsSolver"]
