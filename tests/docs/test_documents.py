"""README and DEVELOPERS say what is so: the tour's calls are made, the settings and commands are all there."""

import json
import re
from pathlib import Path
from typing import Any

import pytest
from django.core.management import get_commands

from service.env import SETTINGS
from tests.api.world import Desk

pytestmark = pytest.mark.db
ROOT = Path(__file__).parents[2]
README, DEVELOPERS = (ROOT.joinpath(name).read_text(encoding="utf-8") for name in ("README.md", "DEVELOPERS.md"))
SET_UP = "python3 -m venv .venv && .venv/bin/pip install -q uv==0.13.9 && .venv/bin/uv run"
OURS = ("service", "service.operations", "catalog", "kits")


def tour() -> list[tuple[Any, Any]]:
    """Each question of the tour with the beginning of its answer as the README shows it."""
    blocks = [json.loads(block) for block in re.findall(r"```json\n(.*?)```", README, re.DOTALL)]
    return list(zip(blocks[::2], blocks[1::2], strict=True))


@pytest.mark.parametrize(("question", "shown"), tour())
def test_the_tour_gets_the_answers_it_shows(desk: Desk, question: Any, shown: Any) -> None:
    address = "/supply-checks/" if "air" in question else "/checks/"
    answer = desk.post(address, question).json()
    assert part_of(answer, shown) == shown


def part_of(found: Any, shown: Any) -> Any:
    """As much of what was found as is shown."""
    if isinstance(shown, dict):
        return {name: part_of(found.get(name), value) for name, value in shown.items()}
    if isinstance(shown, list):
        return [part_of(one, value) for one, value in zip(found, shown, strict=True)]
    return found


def test_the_readme_opens_with_the_job_the_caution_and_the_two_commands() -> None:
    places = [
        README.index(words) for words in ("# Gudgeon", "## Caution", f"{SET_UP} manage.py demo", f"{SET_UP} pytest")
    ]
    assert places == sorted(places)


def test_the_settings_table_is_the_one_the_service_reads() -> None:
    rows = re.findall(r"^\| `(GUDGEON_\w+)` \| (.*?) \| (.*?) \| (.*?) \|$", README, re.MULTILINE)
    assert rows == [(s.name, s.kind, s.default or "-", s.meaning) for s in SETTINGS]


def test_every_command_is_named() -> None:
    ours = {name for name, app in get_commands().items() if app in OURS}
    assert ours
    assert {name for name in ours if f"`{name}" not in README + DEVELOPERS} == set()


def test_every_room_of_the_catalogue_is_named() -> None:
    rooms = {path.name for path in (ROOT / "catalog").iterdir() if path.is_dir() and not path.name.startswith("_")}
    assert {room for room in rooms - {"migrations"} if f"`catalog/{room}`" not in DEVELOPERS} == set()
