"""Which tasks may fall due by a day: what can be ruled out is left out, and nothing else."""

from __future__ import annotations

from datetime import date

from kits.domain.due import Due
from kits.domain.due_points import DuePoint
from kits.domain.due_states import DueState, surely_below
from kits.domain.lifetimes import Lifetime


def may_fall_due_by(due: Due, day: date, life: Lifetime) -> bool:
    """Whether a task is due, cannot be told, or may fall due up to that day, that day's in."""
    if due.state is not DueState.NOT_YET:
        return True
    points = (due.point,) if due.if_severe is None else (due.point, due.if_severe)
    if due.window is None:
        return any(_in_reach(point, day, life) for point in points)
    return due.window.earliest is not None and due.window.earliest <= day


def _in_reach(point: DuePoint, day: date, life: Lifetime) -> bool:
    """Without a forecast only the calendar and the clock rule anything out."""
    if point.settled:
        return False
    if point.on is not None and point.on <= day:
        return True
    if point.hours is not None:
        return not surely_below(point.hours, life, day)
    return point.on is None
