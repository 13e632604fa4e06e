"""What indexes find is what judging every part finds, in the same order, whichever database and locale."""

from __future__ import annotations

from collections.abc import Iterator
from random import Random

import pytest
from django.db import connection

from catalog.domain.lookup.hits import Hit, found
from catalog.domain.lookup.judging import Candidate, Package
from catalog.domain.lookup.match_words import SURE, MatchedBy
from catalog.models import Barcode, Maker, Part, PartPiece, Side, Status, Supersession, SupersessionMember
from catalog.usecases.looking_up import MOST_HITS, hits_of
from service.errors import Invalid

pytestmark = pytest.mark.db
PARTS, QUERIES = 400, 200
# Of locales most put a before B, and some pass over dashes; code points do neither.
MAKERS = ("ZET", "alf", "Bet", "\u00c9TA")
SIGNS = "0015OIS-8B. aA\u00e9\u041e"
WORDS = ("Oil", "oil", "filter", "FILTER,", "stra\u00dfe", "small", "seal", "0021", "e\u0301lan")
Told = tuple[int, MatchedBy, str, int | None]


def number(chance: Random) -> str:
    return "".join(chance.choices(SIGNS, k=chance.randint(3, 9))) + chance.choice("018")


def load(chance: Random) -> None:
    makers = Maker.objects.bulk_create(Maker(code=code, name=code) for code in MAKERS)
    named = {(chance.choice(MAKERS), number(chance)) for _ in range(PARTS)}
    by_code = {maker.code: maker for maker in makers}
    parts = [
        Part(
            maker=by_code[maker],
            number=printed,
            category="oil_filter",
            name=" ".join(chance.choices(WORDS, k=chance.randint(1, 3))),
            status=chance.choices(Status.values, weights=(9, 1))[0],
        )
        for maker, printed in sorted(named)
    ]
    for part in parts:
        part.derive_keys()
    Part.objects.bulk_create(parts)
    PartPiece.objects.write_for(parts)
    Barcode.objects.bulk_create(
        Barcode(part=part, code=f"952{place:05}", pack_quantity=1 + place % 3) for place, part in enumerate(parts[::5])
    )
    for _ in range(PARTS // 3):
        old, new = chance.sample(parts, 2)
        row = Supersession.objects.create(
            kind="one_for_one",
            status=chance.choices(Status.values, weights=(4, 1))[0],
            source_kind="maker",
            serials=[],
            any_fuel=[],
            all_fuels=[],
            places=[],
        )
        SupersessionMember.objects.create(supersession=row, side=Side.OLD, part=old)
        SupersessionMember.objects.create(supersession=row, side=Side.NEW, part=new)


def everything() -> tuple[dict[int, Candidate], set[int]]:
    """Every part there is as a candidate, and those that are withdrawn."""
    members = SupersessionMember.objects.filter(supersession__status=Status.ACTIVE)
    new: dict[int, set[int]] = {}
    for row in members.filter(side=Side.NEW):
        new.setdefault(row.supersession_id, set()).add(row.part_id)
    behind: dict[int, set[int]] = {}
    for row in members.filter(side=Side.OLD):
        behind.setdefault(row.part_id, set()).update(new[row.supersession_id])
    packages: dict[int, list[Package]] = {}
    for code in sorted(Barcode.objects.all(), key=lambda one: one.code):
        packages.setdefault(code.part_id, []).append(Package(code.code, code.pack_quantity))
    rows = {
        part.pk: Candidate(
            part.pk, part.maker.code, part.number, part.number_key, part.number_no_zeros, part.name,
            tuple(packages.get(part.pk, ())), tuple(sorted(behind.get(part.pk, ()))),
        )
        for part in Part.objects.select_related("maker")
    }  # fmt: skip
    return rows, set(Part.objects.filter(status=Status.WITHDRAWN).values_list("pk", flat=True))


def asked(chance: Random, rows: dict[int, Candidate]) -> Iterator[str]:
    """Numbers as printed, cut, mistyped, without zeros, with makers and noise; words; codes of packages."""
    shelf = list(rows.values())
    for _ in range(QUERIES):
        row = chance.choice(shelf)
        printed, place = row.number, chance.randrange(len(row.number))
        yield chance.choice(
            (
                printed, f"{row.maker} {printed}", f"{chance.choice(MAKERS)}-{printed}", row.key.lower(),
                printed[: place + 3], row.key[1:7], row.key[2:], row.no_zeros, f"0{printed}",
                printed[:place] + chance.choice(SIGNS) + printed[place + 1 :], printed[:place] + printed[place + 1 :],
                printed.replace("0", "O").replace("1", "I"), f"P/N {printed} (2 pcs)", f"{printed} Rev B", "001", "8B0",
                row.name, row.name[:4], f"{row.maker} fil", "oil stras", "95200007", "FIL 00", "filter",
                *(package.code for package in row.packages),
            )
        )  # fmt: skip


def told(hits: tuple[Hit, ...]) -> list[Told]:
    return [(hit.candidate.id, hit.matched_by, hit.note.partition("; withdrawn")[0], hit.pack_quantity) for hit in hits]


def test_the_first_hits_are_those_of_judging_every_part_in_the_same_order() -> None:
    chance = Random(2026)  # noqa: S311 - variety, no secret
    load(chance)
    rows, withdrawn = everything()
    ways: set[MatchedBy] = set()
    longest, refused = 0, []
    for text in asked(chance, rows):
        try:
            reading, hits = hits_of(text, stamp="as loaded")
        except Invalid as error:
            refused.append(error.code)
            continue
        whole = tuple(
            hit for hit in found(reading, rows.values()) if hit.candidate.id not in withdrawn or hit.matched_by in SURE
        )
        assert told(hits)[:MOST_HITS] == told(whole)[:MOST_HITS], text
        assert [hit.rank for hit in hits] == list(range(1, len(hits) + 1))
        ways |= {hit.matched_by for hit in hits}
        longest = max(longest, len(whole))
    assert ways == set(MatchedBy), "every way to be found was tried"
    assert longest > MOST_HITS, "some list was cut"
    assert set(refused) <= {"wrong_check_digit"}
    assert len(refused) < QUERIES // 10


def test_keys_and_pieces_are_compared_by_code_point_whatever_the_locale() -> None:
    """PostgreSQL forgets a column's collation with a change of its type, so this is looked at in its own tables."""
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute(
                "SELECT table_name, column_name FROM information_schema.columns WHERE collation_name = 'C' "
                "AND table_name IN ('catalog_part', 'catalog_partpiece') ORDER BY table_name"
            )
            assert cursor.fetchall() == [("catalog_part", "number_key"), ("catalog_partpiece", "text")]
    load(Random(1))  # noqa: S311 - variety, no secret
    keys = list(Part.objects.order_by("number_key").values_list("number_key", flat=True))
    assert keys == sorted(keys)
    assert len(keys) > PARTS // 2
