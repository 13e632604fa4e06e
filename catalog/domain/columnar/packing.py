"""Findings packed into bytes, and the fold of such bytes into verdicts.

A code is one byte: bits 0-1 the outcome, bits 2-4 the effect, bit 5 whether something critical was met and counts.
Of several findings in one code the strongest effect stands, with the outcome that came to it.
"""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
import numpy.typing as npt

from catalog.domain.answers import Answer, Effect, Verdict
from catalog.domain.findings import Finding
from catalog.domain.folding import VERDICTS, level

Bytes = npt.NDArray[np.uint8]
Rows = npt.NDArray[np.intp]
Variation = npt.NDArray[np.unsignedinteger]  # variants, by row

OUTCOMES = (Answer.MET, Answer.MET_IF, Answer.UNKNOWN, Answer.NOT_MET)
EFFECTS = tuple(Effect)
_OUTCOME = {answer: number for number, answer in enumerate(OUTCOMES)}
_EFFECT = {effect: number for number, effect in enumerate(EFFECTS)}
_CRITICAL = 1 << 5
SILENT = len(EFFECTS) << 2  # nothing was found, not even that it is not asked
UNREAD = 0xFF  # the reference engine has not been asked yet

# Folded bits: a level as its own and all lower ones, so that the worse of two is their union, and whether something
# critical is met. Rejected is the highest, so that one comparison tells.
CONDITION, UNDETERMINED, MET, REJECTED = 1, 2, 4, 8
_LEVELS = (0, CONDITION, CONDITION | UNDETERMINED, CONDITION | UNDETERMINED | REJECTED)
UNREAD_BITS = 0x80


def packed(findings: Iterable[Finding]) -> int:
    """The code of what was found by one thing weighed."""
    outcome, effect, critical = 0, -1, 0
    for finding in findings:
        if finding.critical and finding.counted and finding.outcome is Answer.MET:
            critical = _CRITICAL
        strength = _EFFECT[finding.effect]
        if strength > effect:
            outcome, effect = _OUTCOME[finding.outcome], strength
    return SILENT if effect < 0 else outcome | effect << 2 | critical


def outcome_of(code: int) -> Answer | None:
    """The outcome in a code; None where nothing was found."""
    return None if code == SILENT else OUTCOMES[code & 3]


def effect_of(code: int) -> Effect | None:
    """The effect in a code; None where nothing was found."""
    return None if code == SILENT else EFFECTS[code >> 2 & 7]


def _bits_of(code: int) -> int:
    if code == UNREAD:
        return UNREAD_BITS
    effect = effect_of(code) if code >> 2 & 7 <= len(EFFECTS) - 1 else None
    return (_LEVELS[level(effect)] if effect else 0) | (MET if code & _CRITICAL else 0)


def _verdict_of(bits: int) -> int:
    """Nothing critical met is undetermined, where it is not rejected anyway: nothing compared is nothing accepted."""
    if bits & REJECTED:
        return VERDICTS.index(Verdict.REJECTED)
    if bits & UNDETERMINED or not bits & MET:
        return VERDICTS.index(Verdict.UNDETERMINED)
    return VERDICTS.index(Verdict.CONDITIONAL if bits & CONDITION else Verdict.ACCEPTED)


BITS: Bytes = np.array([_bits_of(code) for code in range(0x100)], dtype=np.uint8)
BITS.setflags(write=False)
VERDICT: Bytes = np.array([_verdict_of(bits) for bits in range(0x10)], dtype=np.uint8)
VERDICT.setflags(write=False)


def number_of(verdict: Verdict) -> int:
    """A verdict as it stands in arrays: the best first."""
    return VERDICTS.index(verdict)
