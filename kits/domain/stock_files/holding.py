"""When a file looks damaged against what is in force, so that a person has to look at it first.

Five per cent of prices by more than twenty, and a tenth fewer rows: dealer practice (trade notes, section 6; common
practice, no source). The other limits stand beside them here and have no source either.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

PRICE_MOVE = Fraction(20, 100)  # a price that moves further than this has moved much
MOVED_PRICES = Fraction(5, 100)  # of the prices in force: more of them moved much
LOST_ROWS = Fraction(10, 100)  # of last time's rows: as many or more are gone
CHANGED_UNITS = Fraction(
    5, 100
)  # of the prices in force: more of them are for another number of pieces or in other packs
LOST_ZEROS = Fraction(50, 100)  # of last time's numbers with zeros in front: more are gone
COLUMNS_RENAMED = "columns_renamed"


@dataclass(frozen=True, slots=True)
class FileFigures:
    """What is counted of a file to be compared with the next one: data rows, numbers with zeros in front, header."""

    rows: int
    leading_zeros: int
    header: tuple[str, ...]

    def document(self) -> dict[str, Any]:
        return {"rows": self.rows, "leading_zeros": self.leading_zeros, "header": list(self.header)}

    @classmethod
    def of(cls, document: Mapping[str, Any]) -> FileFigures:
        return cls(document["rows"], document["leading_zeros"], tuple(document["header"]))


@dataclass(frozen=True, slots=True)
class Compared:
    """Prices of the file beside those in force: how many there are on both sides, moved much, in other units."""

    prices: int = 0
    moved: int = 0
    units: int = 0


@dataclass(frozen=True, slots=True)
class Reason:
    """Why a file is held, for programs and in words."""

    code: str
    detail: str


def reasons_to_hold(tonight: FileFigures, last: FileFigures | None, compared: Compared) -> tuple[Reason, ...]:
    """All of them; none where the file looks like the last one of its feed. Without a last one only prices tell."""
    found = [] if last is None else [*_header(tonight, last), *_rows(tonight, last), *_zeros(tonight, last)]
    if compared.moved > MOVED_PRICES * compared.prices:
        words = f"{compared.moved} of {compared.prices} prices moved by more than {_percent(PRICE_MOVE)}"
        found.append(Reason("prices_moved", f"{words}; it is held from {_percent(MOVED_PRICES)} on."))
    if compared.units > CHANGED_UNITS * compared.prices:
        words = f"{compared.units} of {compared.prices} prices are for another number of pieces or in another pack"
        found.append(Reason("units_changed", f"{words}; see whether each has become a pack, or a pack each."))
    return tuple(found)


def no_good_row(rows: int) -> Reason:
    """Why a file of which every row is wrong is not in force: nobody may take last night's stock for tonight's."""
    which = "Its only row could not" if rows == 1 else f"Not one of its {rows} rows could"
    words = f"{which} be applied, so nothing was changed and what was in force stays so."
    return Reason("no_good_row", f"{words} The problems of its job name each row.")


def rows_refused(wrong: int, rows: int) -> Reason:
    words = f"{wrong} of {_counted(rows, 'row')} cannot be applied, and all or nothing was asked for: nothing was "
    return Reason("rows_refused", f"{words}changed. The problems of its job name each row.")


def _header(tonight: FileFigures, last: FileFigures) -> list[Reason]:
    gone = [name for name in last.header if name not in tonight.header]
    new = [name for name in tonight.header if name not in last.header]
    if not gone:
        return []
    words = f"The columns {', '.join(gone)} are gone and {', '.join(new) or 'none'} are new"
    return [Reason(COLUMNS_RENAMED, f"{words}; see whether they were renamed.")]


def _rows(tonight: FileFigures, last: FileFigures) -> list[Reason]:
    if last.rows - tonight.rows < LOST_ROWS * last.rows or tonight.rows >= last.rows:
        return []
    words = f"{_counted(tonight.rows, 'row')} tonight and {last.rows} last time; the file may be cut short"
    return [Reason("rows_lost", f"{words}. It is held from {_percent(LOST_ROWS)} fewer on.")]


def _zeros(tonight: FileFigures, last: FileFigures) -> list[Reason]:
    lost = last.leading_zeros - tonight.leading_zeros
    if lost <= LOST_ZEROS * last.leading_zeros:
        return []
    words = (
        f"leading zeros lost: {_counted(last.leading_zeros, 'number')} started with a zero last time, "
        f"{tonight.leading_zeros} do"
    )
    return [Reason("leading_zeros_lost", f"{words} now. A spreadsheet may have taken them.")]


def _counted(count: int, name: str) -> str:
    return f"{count} {name}{'' if count == 1 else 's'}"


def _percent(share: Fraction) -> str:
    return f"{share * 100} %"
