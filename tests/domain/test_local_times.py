"""Local times as people write them: once, twice or never (the zone database decides; dates from it, from memory)."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kits.domain.local_times import InstantSkipped, instant_in
from kits.domain.meters import InstantAmbiguous

pytestmark = pytest.mark.domain
PARIS, LORD_HOWE = ZoneInfo("Europe/Paris"), ZoneInfo("Australia/Lord_Howe")


def at(text: str) -> datetime:
    return datetime.fromisoformat(text)


@pytest.mark.parametrize(
    ("zone", "local", "error", "offsets"),
    [
        (PARIS, "2026-10-25T02:30", InstantAmbiguous, ("+02:00", "+01:00")),
        (PARIS, "2026-10-25T02:00", InstantAmbiguous, ("+02:00", "+01:00")),
        (PARIS, "2026-03-29T02:30", InstantSkipped, ("+01:00", "+02:00")),
        (LORD_HOWE, "2026-04-05T01:45", InstantAmbiguous, ("+11:00", "+10:30")),  # goes back by half an hour
    ],
)
def test_a_time_that_comes_twice_or_never_names_both_offsets(
    zone: ZoneInfo, local: str, error: type[Exception], offsets: tuple[str, str]
) -> None:
    with pytest.raises(error) as refused:
        instant_in(zone, at(local))
    assert refused.value.context["offsets"] == offsets  # type: ignore[attr-defined]
    assert all(offset in str(refused.value) for offset in offsets)


@pytest.mark.parametrize("local", ["2026-10-25T01:59", "2026-10-25T03:00", "2026-03-29T03:00", "2026-07-01T02:30"])
def test_any_other_time_is_one_instant(local: str) -> None:
    found = instant_in(PARIS, at(local))
    assert found.replace(tzinfo=None) == at(local)


def test_with_its_offset_any_time_is_one_instant() -> None:
    first, second = (instant_in(PARIS, at(f"2026-10-25T02:30{offset}")) for offset in ("+02:00", "+01:00"))
    assert second.astimezone(UTC) - first.astimezone(UTC) == timedelta(hours=1)
    assert first.date() == second.date() == at("2026-10-25").date()


@given(st.datetimes(at("1990-01-01"), at("2035-12-31")))
def test_what_is_taken_is_what_the_clock_on_the_wall_showed(local: datetime) -> None:
    try:
        found = instant_in(PARIS, local)
    except (InstantAmbiguous, InstantSkipped):
        return
    assert found.astimezone(UTC).astimezone(PARIS).replace(tzinfo=None) == local
