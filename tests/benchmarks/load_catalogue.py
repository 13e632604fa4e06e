"""The demo with its two thousand parts read from its tables and written into an empty database."""

from __future__ import annotations

import time
from pathlib import Path

from catalog.models import Part
from catalog.usecases.demo_dealership import load_demo
from catalog.usecases.demo_files import demo_tables
from catalog.usecases.rulebooks import publish_rulebook
from tests.api.world import NOW, reference_document
from tests.benchmarks.measuring import Row
from tests.benchmarks.served import empty_database

PARTS = 2_000
AIM = 10.0
FOLDER = Path(__file__).parents[2] / "fixtures" / "demo"


def measure() -> list[Row]:
    with empty_database():
        publish_rulebook(reference_document(), NOW)
        began = time.perf_counter()
        load_demo(demo_tables(FOLDER), NOW, up_to=PARTS)
        taken = time.perf_counter() - began
        began = time.perf_counter()
        load_demo(demo_tables(FOLDER), NOW, up_to=PARTS)
        again = time.perf_counter() - began
        count = Part.objects.count()
    return [Row("load of the demo catalogue", taken, "s", f"<= {AIM:.0f} s", taken <= AIM,
                {"parts": count, "loaded again s": again})]  # fmt: skip
