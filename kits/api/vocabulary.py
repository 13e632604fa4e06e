"""Closed lists of words that several shapes share; the API's description names each of them once (see settings)."""

from __future__ import annotations

from catalog.domain.answers import Verdict
from kits.domain.due import DecidedBy
from kits.domain.due_states import DueState
from kits.domain.engine_hours import MeterUnit
from kits.domain.forecasting import ForecastBasis
from kits.domain.kit_lines import Per
from kits.domain.kit_settling import LineState
from kits.domain.kit_steps import KitState
from kits.domain.meters import Counts, HeldFor, Review
from kits.domain.money import Rounding
from kits.domain.packing import Nature
from kits.domain.stock import PassedOver
from kits.domain.tasks import AgeClock, Anchor, TaskKind, Worker
from kits.models import ObservationKind

TASK_KINDS = [kind.value for kind in TaskKind]
ANCHORS = [anchor.value for anchor in Anchor]
AGE_CLOCKS = [clock.value for clock in AgeClock]
WORKERS = [worker.value for worker in Worker]
COUNTS = [counts.value for counts in Counts]
PER = [per.value for per in Per]
NATURES = [nature.value for nature in Nature]
METER_UNITS = [unit.value for unit in MeterUnit]
REVIEWS = [review.value for review in Review]
VERDICTS_ON_READINGS = [Review.CONFIRMED.value, Review.REJECTED.value]
HELD_FOR = [reason.value for reason in HeldFor]
OBSERVATION_KINDS = [kind.value for kind in ObservationKind]
DUE_STATES = [state.value for state in DueState]
DECIDED_BY = [what.value for what in DecidedBy]
FORECAST_FROM = [basis.value for basis in ForecastBasis]
KIT_STATES = [state.value for state in KitState]
KIT_UNITS = ["each", "litre"]
LINE_STATES = [state.value for state in LineState]
PASSED_OVER = [reason.value for reason in PassedOver]
ROUNDINGS = [rounding.value for rounding in Rounding]
VERDICTS = [verdict.value for verdict in Verdict]
