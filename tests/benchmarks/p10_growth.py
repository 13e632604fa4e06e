"""P10: what a number, a search for substitutes and a check take in a hundred times as large a catalogue.

Each is set against a trivial call with the same key at the same size, since the sizes are measured minutes apart; the
growth is of that ratio. The same number of parts is shown at every size. Filling the catalogue up takes half an hour.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Mapping, Sequence
from functools import partial
from itertools import cycle
from random import Random

from django.db import connection

from catalog import loading
from catalog.domain.part_numbers import number_key
from catalog.loading.category_columns import forget_columns
from catalog.models import Part
from catalog.usecases.synthesizing import synthesize
from tests.api.world import NOW, demo_catalogue
from tests.benchmarks.counter_questions import counter_questions
from tests.benchmarks.measuring import Row, interleaved
from tests.benchmarks.p1_check import asked_cold
from tests.benchmarks.p4_substitutes import fullest
from tests.benchmarks.p8_lookup import BY_KEY
from tests.benchmarks.served import Served, served_both_ways

SIZES = (10_000, 100_000, 1_000_000)
AIMS = {"exact number": 4.0, "search": 1.5, "check, cold": 1.2, "check, warm": 1.2}
NUMBERS, PARTS_A_POSITION, SHOWN = 40, 40, 10
ASKED_A_TURN = 15


def measure() -> list[Row]:
    taken = dict[int, Mapping[str, float]]()
    with served_both_ways() as service:
        for size in SIZES:
            for there, wanted in synthesize(demo_catalogue(), size, lambda: NOW):
                sys.stderr.write(f"\r{there:,} of {wanted:,} parts")
            with connection.cursor() as cursor:
                cursor.execute("ANALYZE")
            forget_columns()
            loading.forget()
            taken[size] = _measured(service)
            sys.stderr.write("\n")
    return [row for size in SIZES[1:] for row in _grown(SIZES[0], size, taken)]


def _grown(small: int, large: int, taken: Mapping[int, Mapping[str, float]]) -> list[Row]:
    before, after = taken[small], taken[large]
    rows = []
    for name, aim in AIMS.items():
        side = "get" if name in ("exact number", "search") else "post"
        growth = (after[name] / after[side]) / (before[name] / before[side])
        beside = {f"at {small} us": before[name], f"at {large} us": after[name],
                  "trivial before us": before[side], "trivial after us": after[side]}  # fmt: skip
        rows.append(
            Row(f"P10 {name}, {large:,} parts", growth, f"of {small:,} parts", f"<= {aim}", growth <= aim, beside)
        )
    return rows


def _measured(service: Served) -> dict[str, float]:
    """Microseconds of each, and of the trivial GET and POST beside it."""
    address, _ = fullest(service.get, SHOWN)
    trivial, post = service.get("/trivial/"), service.post("/trivial/", {"code": "T", "name": "trivial"})
    numbers = _numbers()
    found = interleaved({"get": trivial, "search": service.get(address)}, repeat=10)
    found |= {"exact number": interleaved({"exact": lambda: _looked_up(numbers)}, repeat=5)["exact"] / len(numbers)}
    questions = counter_questions(partial(_findings, service), most=PARTS_A_POSITION)
    for body in questions.before:
        service.post("/api/v1/checks/", body)()
    calls = cycle([service.post("/api/v1/checks/", body) for body in questions.timed])

    def ask_next() -> object:
        return next(calls)()

    found |= interleaved({"post": post, "check, warm": ask_next}, repeat=ASKED_A_TURN)
    return found | interleaved({"check, cold": lambda: asked_cold(next(calls))}, repeat=ASKED_A_TURN)


def _numbers() -> list[str]:
    """Of parts all over the catalogue."""
    last = Part.objects.order_by("-id").values_list("id", flat=True)[0]
    chance = Random(last)  # noqa: S311 - variety, no secret
    wanted = [chance.randrange(1, last) for _ in range(2 * NUMBERS)]
    return list(Part.objects.filter(id__in=wanted).values_list("number", flat=True)[:NUMBERS])


def _looked_up(numbers: Sequence[str]) -> None:
    with connection.cursor() as cursor:
        for number in numbers:
            cursor.execute(BY_KEY, [number_key(number)])
            cursor.fetchall()


def _findings(service: Served, body: Mapping[str, object]) -> int:
    return len(json.loads(service.post("/api/v1/checks/", body)())["findings"])  # type: ignore[arg-type]
