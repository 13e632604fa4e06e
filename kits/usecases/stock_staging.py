"""A file's rows beside the tables they go to: a table of this connection's own, filled at once and joined set-wise.

Nothing of it outlives the connection; a job that is taken up again stages its file again.
"""

# ruff: noqa: S608 - statements are put together from names of our own, values are passed beside them

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from operator import itemgetter
from typing import Any
from uuid import UUID

from django.db import connection
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
AMBIGUOUS, LOST_ZERO = "ambiguous_part", "possible_lost_zero"
NEAR = (AMBIGUOUS, LOST_ZERO)  # of a whole file they leave open which part lies there, so none may be emptied for them
_HEAD = {
    "n": "bigint", "maker": "bigint", "key": "text", "content": "bigint", "sound": "boolean", "part": "bigint",
}  # fmt: skip
_OF_ITEMS = {"is_first": "boolean", "is_all": "boolean"}  # of stock alone, where a part has several rows
_TYPES = {
    "on_hand": "bigint", "bin": "text", "date_code": "date", "expires": "date", "counter_price": "bigint",
    "counter_currency": "text", "ages": "boolean", "reorder_point": "bigint", "price": "bigint", "price_for": "bigint",
    "currency": "text", "pack": "bigint", "minimum": "bigint", "supplier_number": "text", "lead_days": "bigint",
    "promised_from": "date", "promised_to": "date", "core_charge": "bigint", "returnable": "boolean",
}  # fmt: skip
_SENT_AS = {"uuid": "text", "date": "text"}  # written out already, so nothing is made of them on the way
_CURRENCIES = {"price": "currency", "counter_price": "counter_currency"}
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


@dataclass(frozen=True, slots=True)
class _Names:
    """Owners and makers by the codes that files call them by."""

    owners: Mapping[str, Owned]
    makers: Mapping[str, int]


@dataclass(slots=True)
class Staged:
    """How many rows are staged, counted from one, and what is wrong beyond the file itself.

    The rows themselves are held until their parts are found. Of them `sound` can be applied; `near` name no part, but
    stand so close to one that they may well be about it.
    """

    count: int = 0
    sound: int = 0
    near: int = 0
    rows: list[Stated] = field(default_factory=list)
    problems: list[FileProblem] = field(default_factory=list)


@contextmanager
def staged(table: FileTable, header: Sequence[str], read: ReadRows, dealer: Dealer) -> Iterator[Staged]:
    """The rows in the stage, each with its part where there is one; what names nothing known is told."""
    found = Staged()
    columns = _columns(table, header)
    with connection.cursor() as cursor:
        cursor.execute(f"DROP TABLE IF EXISTS {STAGE}")
        if connection.vendor == "postgresql":
            cursor.execute("SET jit = off")  # compiling takes longer than all the statement does
        cursor.execute(f"CREATE TEMPORARY TABLE {STAGE} ({', '.join(f'{n} {t}' for n, t in columns.items())})")
        try:
            # Loaded before the rows flow: while they do, the connection takes no other statement.
            names = _Names(_owners(table, dealer), _makers())
            filled = {name: kind for name, kind in columns.items() if name != "part"}
            _fill(cursor, filled, _rows(table, kept_values(table, header), read, names, found))
            _resolve(cursor)
            _settle_unresolved(cursor, found)
            found.count = len(found.rows)
            found.sound = _sound(cursor)
            found.rows.clear()
            _ready(cursor)
            if table.owner == "branch":
                index_by_part(cursor)
            yield found
        finally:
            if connection.is_usable():
                cursor.execute(f"DROP TABLE IF EXISTS {STAGE}")
                if connection.vendor == "postgresql":
                    cursor.execute("RESET jit")


def compared(table: FileTable, header: Sequence[str]) -> Compared:
    """The staged prices beside those in force; nothing where the file has none."""
    if table.owner == "branch" and "counter_price" not in header:
        return Compared()
    with connection.cursor() as cursor:
        cursor.execute(_comparison(table, header))
        return Compared(*(int(count) for count in cursor.fetchone()))


def _comparison(table: FileTable, header: Sequence[str]) -> str:
    if table.owner == "branch":
        moved = "ABS(s.counter_price - t.counter_price) * 5 > t.counter_price"
        wanted = "s.is_first AND s.counter_price IS NOT NULL AND t.counter_price IS NOT NULL"
        return _COMPARED.format(table="kits_stockitem", owner="branch", units="1 = 0", moved=moved, wanted=wanted)
    pieces = "s.price_for" if "price_for" in header else "t.price_for"
    # Their products may be above what a bigint holds, and PostgreSQL takes long over its numeric ones.
    before, now = f"CAST(t.price AS double precision) * {pieces}", "CAST(s.price AS double precision) * t.price_for"
    moved = f"ABS({now} - {before}) * 5 > {before} OR s.currency <> t.currency"
    units = f"{pieces} <> t.price_for OR s.pack <> t.pack"
    return _COMPARED.format(table="kits_supplierprice", owner="supplier", units=units, moved=moved, wanted="1 = 1")


def kept_values(table: FileTable, header: Sequence[str]) -> tuple[str, ...]:
    """The columns with values that are staged: those the file has, an amount never without its currency."""
    known = set(header) - {"currency", "counter_currency"}
    known |= {currency for amount, currency in _CURRENCIES.items() if amount in known}
    return tuple(column.name for column in table.values if column.name in known)


def _columns(table: FileTable, header: Sequence[str]) -> dict[str, str]:
    kept = kept_values(table, header)
    head = {**_HEAD, **(_OF_ITEMS if table.owner == "branch" else {})}
    if connection.vendor == "sqlite":
        # A part without its type could not be looked up by its index: SQLite compares by the types of both columns.
        return {**dict.fromkeys((*head, "owner", *kept), ""), "n": "INTEGER PRIMARY KEY", "part": "INTEGER"}
    owner = "bigint" if table.owner == "branch" else "uuid"
    return {**head, "owner": owner, **{name: _TYPES[name] for name in kept}}


def _rows(
    table: FileTable, kept: Sequence[str], read: ReadRows, names: _Names, found: Staged
) -> Iterator[tuple[Any, ...]]:
    """The rows as they are staged, without their parts; those of an owner or a maker nobody knows are told."""
    owners, makers, of_items = names.owners, _InAnyCase(names.makers), table.owner == "branch"
    every = [column.name for column in table.values]
    chosen, money = _chooser([every.index(name) for name in kept]), _money_places(kept)
    nothing, known = (None,) * len(every), found.rows
    for row in read.stated:
        _, owner_code, maker_code, _, key, content, stated, first, sound = row
        owner, maker = owners.get(owner_code), makers[maker_code]
        if owner is None or maker is None:
            found.problems += _unknown_names(table, row, owner, maker)
            continue
        known.append(row)
        stated = stated if sound else nothing
        values = list(chosen(stated))
        if money is not None and sound:
            price, currency = money
            values[currency] = "" if values[price] is None else values[currency] or owner.currency
        item = (first, first and row.part not in read.broken) if of_items else ()
        yield (len(known), maker, key, content, sound, *item, owner.id, *values)


def _chooser(places: Sequence[int]) -> Callable[[Sequence[object]], Sequence[object]]:
    if len(places) == 1:
        return lambda values: (values[places[0]],)
    return itemgetter(*places)  # of one place it would give the value alone


class _InAnyCase(dict[str, int | None]):
    """Makers by their codes as a file writes them, each looked for once; None for one that nobody knows."""

    def __init__(self, makers: Mapping[str, int]) -> None:
        super().__init__()
        self._makers = makers

    def __missing__(self, code: str) -> int | None:
        self[code] = found = self._makers.get(code.upper())
        return found


def _money_places(kept: Sequence[str]) -> tuple[int, int] | None:
    """Where the amount and its currency stand, which are kept together."""
    return next(((kept.index(amount), kept.index(own)) for amount, own in _CURRENCIES.items() if amount in kept), None)


def _owners(table: FileTable, dealer: Dealer) -> dict[str, Owned]:
    rows: Iterable[Any]
    if table.owner == "branch":
        rows = Branch.objects.visible_to(dealer)
    else:
        rows = Supplier.objects.visible_to(dealer).filter(status="active")
    return {row.code: Owned(_as_staged(row), row.currency) for row in rows}


def _as_staged(row: Any) -> Any:
    kept = row._meta.pk.get_db_prep_value(row.pk, connection)  # noqa: SLF001 - Django's own API
    return str(kept) if isinstance(kept, UUID) else kept


def _makers() -> Mapping[str, int]:
    return dict(Maker.objects.annotate(upper=Upper("code")).values_list("upper", "pk"))


def _unknown_names(table: FileTable, row: Stated, owner: Owned | None, maker: int | None) -> Iterator[FileProblem]:
    if owner is None:
        words = f"There is no {table.owner} {row.owner!r} of yours; give the code it has here."
        yield FileProblem(row.line, table.owner, f"unknown_{table.owner}", words, row.owner)
    if maker is None:
        words = f"There is no maker {row.maker!r}; give the code the catalogue has."
        yield FileProblem(row.line, "maker", "unknown_maker", words, row.maker)


def _fill(cursor: Any, columns: Mapping[str, str], rows: Iterator[tuple[Any, ...]]) -> None:
    if connection.vendor == "postgresql":
        with cursor.copy(f"COPY {STAGE} ({', '.join(columns)}) FROM STDIN") as copy:
            copy.set_types([_SENT_AS.get(kind, kind) for kind in columns.values()])  # else each value's is looked for
            for row in rows:
                copy.write_row(row)
        return
    # A savepoint by itself is a transaction that waits for no other: nothing but this connection's own is written.
    cursor.execute("SAVEPOINT staging")
    marks = ", ".join(["%s"] * len(columns))
    cursor.executemany(f"INSERT INTO {STAGE} ({', '.join(columns)}) VALUES ({marks})", rows)
    cursor.execute("RELEASE staging")


def _resolve(cursor: Any) -> None:
    """The part of each row: the only one of that maker whose number is the same but for separators and case.

    The plus keeps SQLite from going through all parts of a maker for every row: it must be the number's index.
    """
    cursor.execute(
        f"UPDATE {STAGE} SET part = (SELECT MIN(p.id) FROM catalog_part AS p"
        f" WHERE p.number_key = {STAGE}.key AND +p.maker_id = {STAGE}.maker HAVING COUNT(*) = 1)"
    )


def _ready(cursor: Any) -> None:
    if connection.vendor == "postgresql":
        cursor.execute(f"CREATE INDEX {STAGE}_in_order ON {STAGE} (n)")


def index_by_part(cursor: Any) -> None:
    """For statements that ask of something in force whether the file lists it."""
    cursor.execute(f"CREATE INDEX IF NOT EXISTS {STAGE}_by_part ON {STAGE} (part)")
    if connection.vendor == "postgresql":
        cursor.execute(f"ANALYZE {STAGE} (part, owner)")


def _settle_unresolved(cursor: Any, found: Staged) -> None:
    """Where several numbers differ in separators alone the one written exactly so is meant; the rest is told."""
    cursor.execute(f"SELECT n, maker FROM {STAGE} WHERE part IS NULL ORDER BY n")
    unresolved = [(found.rows[n - 1], n, maker) for n, maker in cursor.fetchall()]
    for start in range(0, len(unresolved), ASKED_AT_ONCE):
        asked = unresolved[start : start + ASKED_AT_ONCE]
        near = _near(asked)
        for row, n, maker in asked:
            exact = [part for part in near.get(maker, ()) if part.number == row.number]
            if exact:
                cursor.execute(f"UPDATE {STAGE} SET part = %s WHERE n = %s", (exact[0].pk, n))
            else:
                problem = _unresolved(row, near.get(maker, ()))
                found.near += problem.code in NEAR
                found.problems.append(problem)


def _sound(cursor: Any) -> int:
    cursor.execute(f"SELECT COUNT(*) FROM {STAGE} WHERE sound AND part IS NOT NULL")
    return int(cursor.fetchone()[0])


def _near(asked: Sequence[tuple[Stated, int, int]]) -> Mapping[int, Sequence[Part]]:
    """The parts, by maker, that differ from one of these numbers by separators, case or leading zeros alone."""
    bare = {without_zeros(row.key) for row, _, _ in asked}
    near: dict[int, list[Part]] = {}
    for part in Part.objects.filter(number_no_zeros__in=bare, maker__in={maker for *_, maker in asked}):
        near.setdefault(part.maker_id, []).append(part)
    return near


def _unresolved(row: Stated, near: Sequence[Part]) -> FileProblem:
    line, number, key = row.line, row.number, row.key
    same = sorted(part.number for part in near if part.number_key == key)
    zeros = sorted(part.number for part in near if part.number_no_zeros == without_zeros(key))
    if same:
        words = f"{number!r} is {' and '.join(same)} of that maker; write the number exactly as one of them is printed."
        return FileProblem(line, "number", AMBIGUOUS, words, number)
    if len(zeros) == 1:
        words = f"{number!r} is no part of that maker. {zeros[0]} differs by leading zeros alone; if it is the one "
        more = "meant, write it so, and see whether a spreadsheet has taken the zeros from the others too."
        return FileProblem(line, "number", LOST_ZERO, words + more, number)
    words = f"{number!r} is no part of that maker in the catalogue; add the part first, or correct the number."
    return FileProblem(line, "number", "unknown_part", words, number)
