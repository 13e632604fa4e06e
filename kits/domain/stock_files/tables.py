"""The registry of tables: what each is called, its columns and what each column says.

The documentation of the columns is written from here, and a file is read by the same entries.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from kits.domain.stock_files import cells
from kits.domain.stock_files.cells import Text

CODE_LENGTH, MAKER_LENGTH, NUMBER_LENGTH, BIN_LENGTH = 40, 20, 80, 40
Reader = Callable[[str, str], object]


@dataclass(frozen=True, slots=True)
class FileColumn:
    """One column. `needed` is that no row may leave it empty; `says` is its documentation.

    From `measures` columns the decimal mark of a file can be told. `empty` is what an empty cell says.
    """

    name: str
    says: str
    example: str
    read: Reader
    needed: bool = False
    measures: bool = False
    empty: object = None


@dataclass(frozen=True, slots=True)
class FileTable:
    """One kind of file. `owner` is the column that says whose row it is: a branch or a supplier.

    `place` are columns that, with owner, part and content, make a row the same as another; `shared` are those that
    several rows of one part at one owner must say alike. `values` is every column beside those that name the part.
    """

    name: str
    says: str
    owner: str
    columns: tuple[FileColumn, ...]
    place: tuple[str, ...] = ()
    shared: tuple[str, ...] = ()
    spans: tuple[tuple[str, str], ...] = ()  # columns with the two ends of a span: both are given or neither

    @property
    def needed(self) -> tuple[str, ...]:
        return tuple(column.name for column in self.columns if column.needed)

    @property
    def values(self) -> tuple[FileColumn, ...]:
        return tuple(column for column in self.columns if column.name not in (self.owner, *NAMING))


NAMING = ("maker", "number", "content")
_PART = (
    FileColumn("maker", "The maker's code as the catalogue writes it.", "VRD", Text(MAKER_LENGTH), needed=True),
    FileColumn(
        "number",
        "The maker's part number as it is printed, kept as text. Separators and case do not count; zeros do.",
        "0021-460",
        Text(NUMBER_LENGTH),
        needed=True,
    ),
    FileColumn(
        "content",
        "What one container holds, for goods supplied by volume: number and unit. Empty for goods by the piece.",
        "5 L",
        cells.size,
    ),
)
_EMPTY = "A column that the file has is stated by it: an empty cell says that nothing is known."
STOCK = FileTable(
    "stock",
    "What lies at a branch, a row for each bin and date code. The rows of a part at a branch are all of it there: its "
    "bins that are not listed hold none. Pieces promised to jobs stay promised. Parts that are not listed stay as they "
    f"are, unless the file is declared whole. {_EMPTY}",
    "branch",
    (
        FileColumn("branch", "The code of the branch.", "main", Text(CODE_LENGTH), needed=True),
        *_PART,
        FileColumn("on_hand", "Pieces (containers) that lie there, promised ones too.", "5", cells.count, needed=True),
        FileColumn("bin", "Where they lie.", "A3-2", Text(BIN_LENGTH), empty=""),
        FileColumn("date_code", "The day they were made, for goods that age.", "2025-11-03", cells.day),
        FileColumn("expires", "The last day on which they may be fitted.", "2030-11-03", cells.day),
        FileColumn(
            "counter_price",
            "What one costs at the counter, in the branch's currency unless the next column says another.",
            "18.90",
            cells.amount,
            measures=True,
        ),
        FileColumn("counter_currency", "The currency of that price, ISO 4217.", "USD", cells.currency, empty=""),
        FileColumn("ages", "yes for goods that may be fitted only up to an age.", "no", cells.flag, empty=False),
        FileColumn("reorder_point", "Pieces below which more is to be ordered.", "8", cells.count),
    ),
    place=("bin", "date_code"),
    shared=("counter_price", "counter_currency", "ages", "reorder_point"),
)
PRICES = FileTable(
    "prices",
    "What suppliers ask, a row for each part and container size. Prices that are not listed stay, unless the file is "
    f"declared whole. {_EMPTY}",
    "supplier",
    (
        FileColumn("supplier", "The code of the supplier.", "fenmoor", Text(CODE_LENGTH), needed=True),
        *_PART,
        FileColumn(
            "price", "The price, above zero, for as many pieces as price_for says.", "14.20", cells.price,
            needed=True, measures=True,
        ),
        FileColumn("price_for", "How many pieces the price is for; 1 where empty.", "1", cells.at_least_one, empty=1),
        FileColumn(
            "currency", "ISO 4217; the supplier's own where empty.", "USD", cells.currency, empty=""
        ),
        FileColumn("pack", "Pieces in the smallest pack that is sold.", "6", cells.at_least_one, needed=True),
        FileColumn("minimum", "The fewest pieces that may be ordered; 0 for no minimum.", "6", cells.count,
                   needed=True),
        FileColumn("supplier_number", "The supplier's own number, as text.", "FEP 4471", Text(NUMBER_LENGTH), empty=""),
        FileColumn("lead_days", "Days on which both sides work, from order to shelf.", "4", cells.lead_days),
        FileColumn("promised_from", "On back-order: the earliest day promised.", "2026-04-20", cells.day),
        FileColumn("promised_to", "On back-order: the latest day promised.", "2026-04-22", cells.day),
        FileColumn("core_charge", "The charge for an old part that comes back, apart from the price.", "60.00",
                   cells.amount, measures=True),
        FileColumn("returnable", "yes or no: whether the supplier takes it back.", "yes", cells.flag),
    ),
    spans=(("promised_from", "promised_to"),),
)  # fmt: skip
TABLES: Mapping[str, FileTable] = {table.name: table for table in (STOCK, PRICES)}
