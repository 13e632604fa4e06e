"""A file's rows beside the tables they go to: a table of this connection's own, filled at once and joined set-wise.

Nothing of it outlives the connection; a job that is taken up again stages its file again.
"""

# ruff: noqa: S608 - statements are put together from names of our own, values are passed beside them

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import Any

from django.db import connection
from django.db.models import Q
from django.db.models.functions import Upper

from catalog.domain.part_numbers import without_zeros
from catalog.models import Maker, Part
from kits.domain.stock_files.holding import Compared
from kits.domain.stock_files.reading import FileProblem, ReadRows, Stated
from kits.domain.stock_files.tables import FileTable
from kits.models import Supplier
from service.operations.models import Branch, Dealer

STAGE = "stock_file_rows"
ASKED_AT_ONCE = 500
_HEAD = {
    "n": "bigint", "line": "bigint", "maker": "bigint", "number": "text", "key": "text", "content": "bigint",
    "is_first": "boolean", "is_all": "boolean", "sound": "boolean", "part": "bigint",
}  # fmt: skip
_TYPES = {
    "on_hand": "bigint", "bin": "text", "date_code": "date", "expires": "date", "counter_price": "bigint",
    "counter_currency": "text", "ages": "boolean", "reorder_point": "bigint", "price": "bigint", "price_for": "bigint",
    "currency": "text", "pack": "bigint", "minimum": "bigint", "supplier_number": "text", "lead_days": "bigint",
    "promised_from": "date", "promised_to": "date", "core_charge": "bigint", "returnable": "boolean",
}  # fmt: skip
# Each of a number's price and the price in force of as many pieces; moved by more than a fifth, or in another currency.
_COMPARED = f"""
SELECT COUNT(*), COALESCE(SUM(CASE WHEN {{moved}} THEN 1 ELSE 0 END), 0),
       COALESCE(SUM(CASE WHEN {{units}} THEN 1 ELSE 0 END), 0)
FROM {STAGE} AS s JOIN {{table}} AS t ON t.part_id = s.part AND t.{{owner}}_id = s.owner
 AND COALESCE(t.content, 0) = COALESCE(s.content, 0)
WHERE s.sound AND s.part IS NOT NULL AND {{wanted}}
"""


@dataclass(frozen=True, slots=True)
class Owned:
    """A branch or a supplier that a file names: its id as the database keeps it, and its currency."""

    id: Any
    currency: str


@dataclass(slots=True)
class Staged:
    """What is staged: how many rows, and what is wrong beyond the file itself."""

    rows: int = 0
    problems: list[FileProblem] = field(default_factory=list)


@contextmanager
def staged(table: FileTable, read: ReadRows, dealer: Dealer) -> Iterator[Staged]:
    """The rows in the stage, each with its part where there is one; what names nothing known is told."""
    found = Staged()
    columns = _columns(table)
    with connection.cursor() as cursor:
        cursor.execute(f"DROP TABLE IF EXISTS {STAGE}")
        cursor.execute(f"CREATE TEMPORARY TABLE {STAGE} ({', '.join(f'{n} {t}' for n, t in columns.items())})")
        try:
            _fill(cursor, tuple(columns), _rows(table, read, dealer, found))
            _resolve(cursor)
            _tell_unresolved(cursor, found)
            yield found
        finally:
            if connection.is_usable():
                cursor.execute(f"DROP TABLE IF EXISTS {STAGE}")


def compared(table: FileTable, header: Sequence[str]) -> Compared:
    """The staged prices beside those in force."""
    with connection.cursor() as cursor:
        cursor.execute(_comparison(table, header))
        return Compared(*(int(count) for count in cursor.fetchone()))


def _comparison(table: FileTable, header: Sequence[str]) -> str:
    if table.owner == "branch":
        moved = "ABS(s.counter_price - t.counter_price) * 5 > t.counter_price"
        wanted = "s.is_first AND s.counter_price IS NOT NULL AND t.counter_price IS NOT NULL"
        return _COMPARED.format(table="kits_stockitem", owner="branch", units="1 = 0", moved=moved, wanted=wanted)
    pieces = "s.price_for" if "price_for" in header else "t.price_for"
    before, now = f"1.0 * t.price * {pieces}", "1.0 * s.price * t.price_for"
    moved = f"ABS({now} - {before}) * 5 > {before}"
    if "currency" in header:
        moved += " OR s.currency <> t.currency"
    units = f"{pieces} <> t.price_for OR s.pack <> t.pack"
    return _COMPARED.format(table="kits_supplierprice", owner="supplier", units=units, moved=moved, wanted="1 = 1")


def _columns(table: FileTable) -> dict[str, str]:
    owner = "bigint" if table.owner == "branch" or connection.vendor == "sqlite" else "uuid"
    if connection.vendor == "sqlite":
        return {**dict.fromkeys((*_HEAD, "owner", *_named(table)), ""), "n": "INTEGER PRIMARY KEY"}
    return {**_HEAD, "owner": owner, **{name: _TYPES[name] for name in _named(table)}}


def _named(table: FileTable) -> list[str]:
    return [column.name for column in table.values]


def _rows(table: FileTable, read: ReadRows, dealer: Dealer, found: Staged) -> Iterator[tuple[Any, ...]]:
    """The rows as they are staged; those of an owner or a maker nobody knows are told and left out."""
    owners, makers = _owners(table, dealer), _makers()
    money = _money_places(table)
    nothing = (None,) * len(table.values)
    for row in read.stated:
        owner, maker = owners.get(row.owner), makers.get(row.maker.upper())
        if owner is None or maker is None:
            found.problems += _unknown_names(table, row, owner, maker)
            continue
        found.rows += 1
        values = _with_currency(row.values, money, owner.currency) if row.sound else nothing
        whole = row.first and row.part not in read.broken
        yield (
            found.rows, row.line, maker, row.number, row.key, row.content, row.first, whole, row.sound, None, owner.id,
            *values,
        )  # fmt: skip


def _money_places(table: FileTable) -> tuple[int, int]:
    """Where the amount and its currency stand."""
    names = _named(table)
    price, currency = ("counter_price", "counter_currency") if table.owner == "branch" else ("price", "currency")
    return names.index(price), names.index(currency)


def _with_currency(values: tuple[object, ...], money: tuple[int, int], own: str) -> tuple[object, ...]:
    """The currency that the row states or, where there is an amount, its owner's."""
    price, currency = money
    stated = "" if values[price] is None else values[currency] or own
    return values if stated == values[currency] else (*values[:currency], stated, *values[currency + 1 :])


def _owners(table: FileTable, dealer: Dealer) -> dict[str, Owned]:
    rows: Iterable[Any]
    if table.owner == "branch":
        rows = Branch.objects.visible_to(dealer)
    else:
        rows = Supplier.objects.visible_to(dealer).filter(status="active")
    return {
        row.code: Owned(row._meta.pk.get_db_prep_value(row.pk, connection), row.currency)  # noqa: SLF001 - Django's API
        for row in rows
    }


def _makers() -> Mapping[str, int]:
    return dict(Maker.objects.annotate(upper=Upper("code")).values_list("upper", "pk"))


def _unknown_names(table: FileTable, row: Stated, owner: Owned | None, maker: int | None) -> Iterator[FileProblem]:
    if owner is None:
        words = f"There is no {table.owner} {row.owner!r} of yours; give the code it has here."
        yield FileProblem(row.line, table.owner, f"unknown_{table.owner}", words, row.owner)
    if maker is None:
        words = f"There is no maker {row.maker!r}; give the code the catalogue has."
        yield FileProblem(row.line, "maker", "unknown_maker", words, row.maker)


def _fill(cursor: Any, columns: Sequence[str], rows: Iterator[tuple[Any, ...]]) -> None:
    if connection.vendor == "postgresql":
        with cursor.copy(f"COPY {STAGE} ({', '.join(columns)}) FROM STDIN") as copy:
            for row in rows:
                copy.write_row(row)
        return
    # A savepoint by itself is a transaction that waits for no other: nothing but this connection's own is written.
    cursor.execute("SAVEPOINT staging")
    marks = ", ".join(["%s"] * len(columns))
    cursor.executemany(f"INSERT INTO {STAGE} ({', '.join(columns)}) VALUES ({marks})", rows)
    cursor.execute("RELEASE staging")


def _resolve(cursor: Any) -> None:
    """The part of each row: by the number as printed, else by the only one that differs in separators or case."""
    cursor.execute(
        f"UPDATE {STAGE} SET part = (SELECT p.id FROM catalog_part AS p"
        f" WHERE p.maker_id = {STAGE}.maker AND p.number = {STAGE}.number)"
    )
    cursor.execute(
        f"UPDATE {STAGE} SET part = (SELECT MIN(p.id) FROM catalog_part AS p"
        f" WHERE p.number_key = {STAGE}.key AND p.maker_id = {STAGE}.maker HAVING COUNT(*) = 1) WHERE part IS NULL"
    )
    cursor.execute(f"CREATE INDEX {STAGE}_by_part ON {STAGE} (part)")
    if connection.vendor == "postgresql":
        cursor.execute(f"CREATE INDEX {STAGE}_in_order ON {STAGE} (n)")
        cursor.execute(f"ANALYZE {STAGE}")


def _tell_unresolved(cursor: Any, found: Staged) -> None:
    cursor.execute(f"SELECT line, maker, number, key FROM {STAGE} WHERE part IS NULL ORDER BY n")
    unresolved = cursor.fetchall()
    for start in range(0, len(unresolved), ASKED_AT_ONCE):
        rows = unresolved[start : start + ASKED_AT_ONCE]
        near = _near(rows)
        found.problems += [_unresolved(line, number, key, near.get(maker, ())) for line, maker, number, key in rows]


def _near(rows: Sequence[tuple[Any, ...]]) -> Mapping[int, Sequence[Part]]:
    """The parts, by maker, that differ from one of these numbers by separators, case or leading zeros alone."""
    bare = {without_zeros(row[3]) for row in rows}
    near: dict[int, list[Part]] = {}
    for part in Part.objects.filter(Q(number_no_zeros__in=bare), maker__in={row[1] for row in rows}):
        near.setdefault(part.maker_id, []).append(part)
    return near


def _unresolved(line: int, number: str, key: str, near: Sequence[Part]) -> FileProblem:
    same = sorted(part.number for part in near if part.number_key == key)
    zeros = sorted(part.number for part in near if part.number_no_zeros == without_zeros(key))
    if same:
        words = f"{number!r} is {' and '.join(same)} of that maker; write the number exactly as one of them is printed."
        return FileProblem(line, "number", "ambiguous_part", words, number)
    if len(zeros) == 1:
        words = f"{number!r} is no part of that maker. {zeros[0]} differs by leading zeros alone; if it is the one "
        more = "meant, write it so, and see whether a spreadsheet has taken the zeros from the others too."
        return FileProblem(line, "number", "possible_lost_zero", words + more, number)
    words = f"{number!r} is no part of that maker in the catalogue; add the part first, or correct the number."
    return FileProblem(line, "number", "unknown_part", words, number)
