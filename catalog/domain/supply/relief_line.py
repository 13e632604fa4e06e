"""The hydrostatic relief valve of a stretch that may be shut at both ends with liquid in it."""

from __future__ import annotations

from collections.abc import Iterator

from catalog.domain.answers import Answer, Basis, Source, SourceKind
from catalog.domain.findings import Finding
from catalog.domain.fuels import Phase
from catalog.domain.quantities import Dimension, Interval, Quantity
from catalog.domain.supply.line_words import quantity_of
from catalog.domain.supply.pipe_flow import PSI
from catalog.domain.supply.weighing_line import Weighing, finding
from catalog.domain.values import Demand, Offer, Value

RELIEF = "hydrostatic_relief"
# 400 to 500 psi from memory of the LP-gas code; 375 by CSA B149.1, from an unofficial transcription.
LEAST, MOST, LEAST_ELSEWHERE = 400 * PSI, 500 * PSI, 375 * PSI
SOURCE = Source(SourceKind.FROM_MEMORY, "LP-gas codes: 400 to 500 psi, in some 375; check the one that applies")
CONDITION = "the code that allows 375 psi applies"
_ROUNDING = 1.0  # Pa: pressures are kept to the whole pascal


def relief_answer(setting: float) -> Answer:
    """Whether a start-to-discharge setting, Pa gauge, is in the range; met_if where only some codes allow it."""
    if LEAST - _ROUNDING <= setting <= MOST + _ROUNDING:
        return Answer.MET
    return Answer.MET_IF if LEAST_ELSEWHERE - _ROUNDING <= setting < LEAST else Answer.NOT_MET


def relieves(weighing: Weighing) -> Iterator[Finding]:
    """Each recorded setting where liquid stands; where none is recorded nothing is said."""
    for passage, _ in weighing.static.coldest():
        stage = passage.stage
        known = stage.known(RELIEF)
        setting = stage.si(RELIEF)
        if known is None or setting is None or passage.before.phase is Phase.VAPOUR:
            continue
        answer = relief_answer(setting)
        text = f"The hydrostatic relief valve at the {stage.shown} opens at {weighing.words.pressure(setting)}"
        says = {
            Answer.MET: "within the 400 to 500 psi asked of one",
            Answer.MET_IF: "below the 400 psi asked of one, and some codes allow 375",
            Answer.NOT_MET: "and not within the 400 to 500 psi asked of one",
        }
        yield finding(
            RELIEF, stage, answer, f"{text}, {says[answer]}.", SOURCE,
            demand=Demand(Value(Interval(_psi(LEAST), _psi(MOST))), Basis.CODE_FLOOR, SOURCE),
            offer=Offer(known.value, known.source, known.basis),
            condition=CONDITION if answer is Answer.MET_IF else "",
        )  # fmt: skip


def _psi(pascal: float) -> Quantity:
    return quantity_of(pascal, Dimension.PRESSURE_GAUGE, "psi")
