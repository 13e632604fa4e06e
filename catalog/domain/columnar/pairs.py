"""Many pairs of question and part at once, with a code for each thing weighed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from catalog.domain.checking import decide
from catalog.domain.columnar.columns import Columns
from catalog.domain.columnar.look_ups import LookUps, Table
from catalog.domain.columnar.open_questions import Need, OpenQuestion
from catalog.domain.columnar.packing import BITS, UNREAD, VERDICT, Bytes, Rows, number_of, packed
from catalog.domain.columnar.searching import at_first, ready

_AT_A_TIME = 1 << 16  # pairs, so that what is read again stays near the processor


@dataclass(frozen=True, slots=True)
class Pairs:
    """`verdicts` by pair, numbered from the best; `codes` by weighing of the columns, then by pair, see `packing`.

    At a position that a kit fills, the codes are of the kit itself; what its contents come to is in the verdict.
    """

    verdicts: Bytes
    codes: Bytes


def judge_pairs(
    columns: Columns, questions: Sequence[OpenQuestion], *, asked: Rows, rows: Rows, look_ups: LookUps
) -> Pairs:
    """Judge pair i, question `asked[i]` with the part in row `rows[i]`; equal to the reference engine on each.

    Raises ValueError as `search` does.
    """
    needs = [ready(columns, question) for question in questions]
    codes: Bytes = np.empty((len(columns.weighings), len(rows)), dtype=np.uint8)
    if not len(rows):
        return Pairs(np.empty(0, dtype=np.uint8), codes)
    first = np.array([at_first(need) for need in needs], dtype=np.uint8)
    bits: Bytes = first[asked]
    for number in range(len(columns.weighings)):
        _look_up(
            columns, number, [columns.table(number, need, look_ups) for need in needs], (asked, rows, codes[number])
        )
        bits |= BITS.take(codes[number])
    verdicts: Bytes = VERDICT.take(bits)
    for pair in _special(columns, needs, asked, rows):
        need, part = needs[asked[pair]], columns.part(int(rows[pair]))
        case = need.case_of(part)
        codes[:, pair] = [packed(weighing.weigh(case)) for weighing in columns.weighings]
        verdicts[pair] = number_of(decide(need.question(part)).verdict)
    return Pairs(verdicts, codes)


def _look_up(columns: Columns, number: int, tables: Sequence[Table], pairs: tuple[Rows, Rows, Bytes]) -> None:
    """Write the codes of one weighing: each table once, end to end, and a pair's place in them by its question."""
    asked, rows, into = pairs
    distinct = list(dict.fromkeys(tables))
    size = len(columns.columns[number].variants.parts)
    at = {table: place * size for place, table in enumerate(distinct)}
    starts = np.array([at[table] for table in tables], dtype=np.int64)
    variants = columns.columns[number].codes
    joined = np.concatenate([table.codes for table in distinct])
    for begin in range(0, len(rows), _AT_A_TIME):
        part = slice(begin, begin + _AT_A_TIME)
        places = starts.take(asked[part])
        places += variants.take(rows[part])
        into[part] = joined.take(places)
        unread = into[part] == UNREAD
        if unread.any():
            for place in np.unique(places[unread]).tolist():
                table = distinct[place // size]
                table.weigh((place % size,))
                joined[place] = table.codes[place % size]
            into[part] = joined[places]


def _special(columns: Columns, needs: Sequence[Need], asked: Rows, rows: Rows) -> list[int]:
    """The pairs that the reference engine judges."""
    of_need = [columns.special(need) for need in needs]
    flagged = np.zeros(len(columns), dtype=np.bool_)
    flagged[np.concatenate(of_need)] = True
    perhaps = np.flatnonzero(flagged[rows])  # few, so that only these are looked up by question
    wanted = np.concatenate([number * len(columns) + found for number, found in enumerate(of_need)])
    found: list[int] = perhaps[np.isin(asked[perhaps] * len(columns) + rows[perhaps], wanted)].tolist()
    return found
