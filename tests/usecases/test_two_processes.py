"""What one process commits, another that remembers the catalogue decides from at once."""

import json
import os
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
from django.db import connection, transaction

from catalog.models import CatalogueState, Part
from catalog.usecases.part_editing import change_part, part_of
from tests.api.world import NOW

pytestmark = [pytest.mark.db, pytest.mark.django_db(transaction=True)]
ROOT = Path(__file__).resolve().parents[2]
QUESTION = {
    "candidate": {"maker": "TSK", "number": "4470"},
    "position": "spark_plug",
    "application": {
        "spec": {"model": "TSK-R60", "spec": "N-43"},
        "serial": "61622",
        "plate_fuels": ["natural_gas", "lpg_vapour"],
        "fuel_records": [{"fuels": ["natural_gas"], "mode": "only_fuel", "found_on": "2026-01-12"}],
    },
}


@contextmanager
def other_process() -> Iterator[Any]:
    settings = {name: connection.settings_dict[name] for name in ("NAME", "USER", "PASSWORD", "HOST", "PORT")}
    command = [sys.executable, "-m", "tests.usecases.asking_process", json.dumps(settings, default=str)]
    environment = {**os.environ, "DJANGO_SETTINGS_MODULE": "service.settings_test"}
    running: Any = subprocess.Popen(
        [*command, json.dumps(QUESTION)],
        cwd=ROOT,
        env=environment,
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
    )

    def ask() -> tuple[str, int]:
        running.stdin.write("\n")
        running.stdin.flush()
        verdict, version = json.loads(running.stdout.readline())
        return verdict, version

    try:
        yield ask
    finally:
        running.stdin.close()
        running.wait()
        running.stdout.close()


def test_a_part_changed_in_one_process_is_decided_anew_in_the_other_after_the_commit(
    world: None,
) -> None:
    plug = part_of(Part.objects.get(maker__code="TSK", number="4470").pk)
    with other_process() as ask:
        before, version = ask()
        assert ask() == (before, version)
        assert version == CatalogueState.objects.get().version
        lines = [
            {"attribute": row.attribute, "slot": row.slot, "value": row.as_entered,
             "source": {"kind": row.source_kind, "citation": row.source_citation}}
            for row in plug.attributes.all()
        ]  # fmt: skip
        wrong = [{**line, "value": ["gasoline"]} if line["attribute"] == "fuels" else line for line in lines]
        if connection.vendor == "postgresql":
            # SQLite has one writer, and a check is recorded: there the other process would wait for this one.
            with transaction.atomic():
                change_part(plug, {"attributes": wrong}, NOW)
                assert ask() == (before, version)
        else:
            change_part(plug, {"attributes": wrong}, NOW)
        after, moved = ask()
        assert moved == version + 1
        assert after != before
        change_part(part_of(plug.pk), {"attributes": lines}, NOW)
        assert ask() == (before, version + 2)
