"""The staged rows into stock and prices, some thousands at a time and set-wise: what is the same is not written."""

# ruff: noqa: S608 - statements are put together from names of our own, values are passed beside them

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any

from django.db import connection

from kits.domain.stock_files.tables import PRICES, FileTable
from kits.models import StockImport
from kits.usecases.stock_staging import STAGE, index_by_part, kept_values

_IN_RANGE = "s.n > %s AND s.n <= %s AND s.sound AND s.part IS NOT NULL"
_SAME_SIZE = "COALESCE({t}.content, 0) = COALESCE(s.content, 0)"
_ITEM = f"kits_stockitem AS i ON i.branch_id = s.owner AND i.part_id = s.part AND {_SAME_SIZE.format(t='i')}"
# Column of the table: column of the file.
_PRICE = {
    "price": "price", "price_for": "price_for", "currency": "currency", "pack": "pack", "minimum": "minimum",
    "number_text": "supplier_number", "lead_days": "lead_days", "promised_earliest": "promised_from",
    "promised_latest": "promised_to", "core_charge": "core_charge", "returnable": "returnable",
}  # fmt: skip
_ITEM_VALUES = {
    "counter_price": "counter_price", "counter_currency": "counter_currency", "ages": "ages",
    "reorder_point": "reorder_point",
}  # fmt: skip
# What a new row has where the file lacks the column; needed columns are never lacking.
_EMPTY = {
    "price_for": "1", "supplier_number": "''", "lead_days": "NULL", "promised_from": "NULL", "promised_to": "NULL",
    "core_charge": "NULL", "returnable": "NULL", "bin": "''", "date_code": "NULL", "expires": "NULL",
    "counter_price": "NULL", "counter_currency": "''", "ages": "FALSE", "reorder_point": "NULL",
}  # fmt: skip
# The last two: joined in the order that is written.
_BY_INDEX = {
    "enable_seqscan": "off", "enable_hashjoin": "off", "enable_mergejoin": "off", "from_collapse_limit": "1",
    "join_collapse_limit": "1",
}  # fmt: skip
_BATCH_VALUES = {"on_hand": "on_hand", "expires": "expires"}


@dataclass(frozen=True, slots=True)
class Applied:
    """What came of rows: added, changed, the same as before; and bins or prices that are no more."""

    added: int = 0
    changed: int = 0
    unchanged: int = 0
    emptied: int = 0

    def __add__(self, other: Applied) -> Applied:
        return Applied(
            self.added + other.added,
            self.changed + other.changed,
            self.unchanged + other.unchanged,
            self.emptied + other.emptied,
        )


@dataclass(frozen=True, slots=True)
class Writing:
    """Which import writes what. `header` are the columns its file has: what it has not stays as it is."""

    table: FileTable
    header: Sequence[str]
    row: StockImport

    def write(self, after: int, to: int) -> Applied:
        """The staged rows of these places. Belongs in a transaction of its own."""
        with connection.cursor() as cursor:
            cursor.execute(f"SELECT COUNT(*) FROM {STAGE} AS s WHERE {_IN_RANGE}", (after, to))
            rows = int(cursor.fetchone()[0])
            with _by_index(cursor):
                write = self._prices if self.table is PRICES else self._stock
                found = write(cursor, (after, to), rows)
        return found + Applied(unchanged=rows - found.added - found.changed)

    def empty_the_rest(self) -> Applied:
        """Of the owners that the file names: what it does not list is none there, or not offered any more."""
        listed = f"SELECT 1 FROM {STAGE} AS s WHERE s.part = {{part}} AND s.owner = {{owner}} AND {{size}}"
        with connection.cursor() as cursor:
            index_by_part(cursor)
            if self.table is PRICES:
                there = listed.format(part="t.part_id", owner="t.supplier_id", size=_SAME_SIZE.format(t="t"))
                cursor.execute(
                    "DELETE FROM kits_supplierprice AS t WHERE t.supplier_id IN "
                    f"(SELECT owner FROM {STAGE}) AND NOT EXISTS ({there})"
                )
            else:
                there = listed.format(part="i.part_id", owner="i.branch_id", size=_SAME_SIZE.format(t="i"))
                cursor.execute(
                    "UPDATE kits_stockbatch AS t SET on_hand = 0 FROM kits_stockitem AS i "
                    f"WHERE t.item_id = i.id AND t.on_hand <> 0 AND i.branch_id IN (SELECT owner FROM {STAGE}) "
                    f"AND NOT EXISTS ({there})"
                )
            return Applied(emptied=cursor.rowcount)

    # What is new is added first: of a batch that is new altogether nothing is left to be changed.

    def _prices(self, cursor: Any, span: tuple[int, int], rows: int) -> Applied:
        same = f"t.supplier_id = s.owner AND t.part_id = s.part AND {_SAME_SIZE.format(t='t')}"
        columns = ", ".join(_PRICE)
        cursor.execute(
            f"INSERT INTO kits_supplierprice (stock_import_id, version, supplier_id, part_id, content, {columns})"
            f" SELECT %s, 1, s.owner, s.part, s.content, {self._from(_PRICE)} FROM {STAGE} AS s "
            f"WHERE {_IN_RANGE} AND NOT EXISTS (SELECT 1 FROM kits_supplierprice AS t WHERE {same})",
            (self._import_id, *span),
        )
        added = cursor.rowcount
        if added == rows:
            return Applied(added=added)
        stated = self._stated(_PRICE)
        cursor.execute(
            f"UPDATE kits_supplierprice AS t SET {_set(stated)}, version = t.version + 1, stock_import_id = %s "
            f"FROM {STAGE} AS s WHERE {_IN_RANGE} AND {same} AND {_differs(stated)}",
            (self._import_id, *span),
        )
        return Applied(added=added, changed=cursor.rowcount)

    def _stock(self, cursor: Any, span: tuple[int, int], rows: int) -> Applied:
        self._items(cursor, span)
        bin_, code, expires = (self._value(name) for name in ("bin", "date_code", "expires"))
        place = f"t.item_id = i.id AND t.bin = {bin_} AND {_same('t.date_code', code)}"
        cursor.execute(
            "INSERT INTO kits_stockbatch (item_id, bin, date_code, expires, on_hand, reserved) "
            f"SELECT i.id, {bin_}, {code}, {expires}, s.on_hand, 0 FROM {STAGE} AS s JOIN {_ITEM} "
            f"WHERE {_IN_RANGE} AND NOT EXISTS (SELECT 1 FROM kits_stockbatch AS t WHERE {place})",
            span,
        )
        added, changed = cursor.rowcount, 0
        if added < rows:
            stated = self._stated(_BATCH_VALUES)
            cursor.execute(
                f"UPDATE kits_stockbatch AS t SET {_set(stated)} FROM {STAGE} AS s JOIN {_ITEM} "
                f"WHERE {_IN_RANGE} AND {place} AND {_differs(stated)}",
                span,
            )
            changed = cursor.rowcount
        listed = (
            f"SELECT 1 FROM {STAGE} AS o WHERE o.part = s.part AND o.owner = s.owner AND o.sound "
            f"AND {_same('o.content', 's.content')} "
            f"AND {bin_.replace('s.', 'o.')} = t.bin AND {_same(code.replace('s.', 'o.'), 't.date_code')}"
        )
        cursor.execute(
            f"UPDATE kits_stockbatch AS t SET on_hand = 0 FROM {STAGE} AS s JOIN {_ITEM} "
            f"WHERE {_IN_RANGE} AND s.is_all AND t.item_id = i.id AND t.on_hand <> 0 AND NOT EXISTS ({listed})",
            span,
        )
        return Applied(added, changed, emptied=cursor.rowcount)

    def _items(self, cursor: Any, span: tuple[int, int]) -> None:
        same = f"t.branch_id = s.owner AND t.part_id = s.part AND {_SAME_SIZE.format(t='t')}"
        stated = self._stated(_ITEM_VALUES)
        if stated:
            cursor.execute(
                f"UPDATE kits_stockitem AS t SET {_set(stated)}, version = t.version + 1 FROM {STAGE} AS s "
                f"WHERE {_IN_RANGE} AND s.is_first AND {same} AND {_differs(stated)}",
                span,
            )
        columns = ", ".join(_ITEM_VALUES)
        cursor.execute(
            f"INSERT INTO kits_stockitem (dealer_id, version, branch_id, part_id, content, {columns}) "
            f"SELECT %s, 1, s.owner, s.part, s.content, {self._from(_ITEM_VALUES)} FROM {STAGE} AS s "
            f"WHERE {_IN_RANGE} AND s.is_first AND NOT EXISTS (SELECT 1 FROM kits_stockitem AS t WHERE {same})",
            (self._dealer_id, *span),
        )

    def _stated(self, columns: dict[str, str]) -> dict[str, str]:
        """Those that are staged; what the file has not stays as it is."""
        return {ours: theirs for ours, theirs in columns.items() if theirs in self.kept}

    def _value(self, column: str) -> str:
        """The staged value, or what a new row has where the file lacks the column."""
        return f"s.{column}" if column in self.kept else _EMPTY[column]

    def _from(self, columns: dict[str, str]) -> str:
        return ", ".join(self._value(theirs) for theirs in columns.values())

    @property
    def kept(self) -> tuple[str, ...]:
        return kept_values(self.table, self.header)

    @property
    def _import_id(self) -> Any:
        return _as_kept(self.row)

    @property
    def _dealer_id(self) -> Any:
        return _as_kept(self.row.dealer)


@contextmanager
def _by_index(cursor: Any) -> Iterator[None]:
    """Have what is in force looked up by its index, from the file's rows on. Belongs in a transaction.

    PostgreSQL plans by what it last counted. Of a table that was empty a moment ago it would go through all rows for
    each staged one, and of one that has grown since it would sort all of it again for every batch.
    """
    if connection.vendor != "postgresql":
        yield
        return
    cursor.execute("; ".join(f"SET LOCAL {name} = {value}" for name, value in _BY_INDEX.items()))
    yield
    cursor.execute("; ".join(f"SET LOCAL {name} TO DEFAULT" for name in _BY_INDEX))


def _as_kept(row: Any) -> Any:
    return row._meta.pk.get_db_prep_value(row.pk, connection)  # noqa: SLF001 - Django's own API


def _set(columns: dict[str, str]) -> str:
    return ", ".join(f"{ours} = s.{theirs}" for ours, theirs in columns.items())


def _differs(columns: dict[str, str]) -> str:
    kept, said = (
        ", ".join(names) for names in ((f"t.{one}" for one in columns), (f"s.{one}" for one in columns.values()))
    )
    word = "IS DISTINCT FROM" if connection.vendor == "postgresql" else "IS NOT"
    return f"({kept}) {word} ({said})"


def _same(left: str, right: str) -> str:
    """Equal, or both null."""
    word = "IS NOT DISTINCT FROM" if connection.vendor == "postgresql" else "IS"
    return f"{left} {word} {right}"
