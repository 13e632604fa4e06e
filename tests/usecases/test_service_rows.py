"""What the rows of service records must hold, whoever writes them."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, date, datetime
from typing import Any

import pytest
from django.db import IntegrityError, models, transaction

from catalog.models import Machine
from kits.models import (
    MachineMeter,
    MeterReading,
    ServiceFile,
    ServiceObservation,
    ServicePlan,
    ServiceRecord,
    UseProfile,
)
from service.operations.models import Dealer

pytestmark = [pytest.mark.db, pytest.mark.usefixtures("empty_house")]
NOW = datetime(2026, 3, 9, 9, 15, tzinfo=UTC)
DAY = date(2026, 3, 9)


@pytest.fixture
def machine() -> Machine:
    dealer = Dealer.objects.create(code="yard", name="Yard")
    return Machine.objects.create(dealer=dealer, name="Truck 7")


@pytest.fixture
def meter(machine: Machine) -> MachineMeter:
    return MachineMeter.objects.create(machine=machine, code="M1", unit="hours", counts="engine", start=100)


def refused(row: models.Model) -> bool:
    try:
        with transaction.atomic():
            row.save()
    except IntegrityError:
        return True
    return False


def _meter(machine: Machine, **more: Any) -> MachineMeter:
    return MachineMeter(machine=machine, **{"code": "M2", "unit": "hours", "counts": "engine", **more})


def _plan(machine: Machine, **more: Any) -> ServicePlan:
    stated = {"code": "p", "name": "P", "document": "{}", "changed_at": NOW, "dealer": machine.dealer}
    return ServicePlan(**{**stated, **more})


def _seen(machine: Machine, **more: Any) -> ServiceObservation:
    return ServiceObservation(machine=machine, on=DAY, by="x", entered_at=NOW, **more)


def _done(machine: Machine, **more: Any) -> ServiceRecord:
    return ServiceRecord(machine=machine, on=DAY, by="x", entered_at=NOW, **more)


@pytest.mark.parametrize(
    "impossible",
    [
        lambda machine: _meter(machine, code=""),
        lambda machine: _meter(machine, unit="furlongs"),
        lambda machine: _meter(machine, start=-1),
        lambda machine: _meter(machine, removed_at=5),  # taken off on no day
        lambda machine: _meter(machine, removed_on=DAY),  # by nobody
        lambda machine: _meter(machine, start=9, removed_on=DAY, removed_by="x", removed_at=8),
        lambda machine: _meter(machine, fitted_on=date(2026, 3, 10), removed_on=DAY, removed_by="x"),
        lambda machine: _plan(machine, code=""),
        lambda machine: _plan(machine, model="VRD-H40"),  # of no maker
        lambda machine: _plan(machine, version=0),
        lambda machine: UseProfile(machine=machine, said_on=DAY, said_by=""),
        lambda machine: UseProfile(machine=machine, said_on=DAY, said_by="x", periods={}),
        _done,  # nothing was done
        lambda machine: _done(machine, tasks=["oil"], hours=-1),
        lambda machine: _done(machine, tasks=["oil"], withdrawn_at=NOW),  # by nobody, for nothing
        lambda machine: _seen(machine, kind="event"),
        lambda machine: _seen(machine, kind="event", event="flood", met=True),
        lambda machine: _seen(machine, kind="condition", task="air"),
        lambda machine: _seen(machine, kind="part_fitted", subject="hose"),
        lambda machine: _seen(machine, kind="heard", event="a noise"),
    ],
)
def test_what_cannot_be_is_not_kept(machine: Machine, impossible: Callable[[Machine], models.Model]) -> None:
    assert refused(impossible(machine))


def test_a_reading_is_of_somebody_and_reviewed_by_somebody(meter: MachineMeter) -> None:
    stated = {"meter": meter, "on": DAY, "shows": 10, "entered_by": "x", "entered_at": NOW}
    assert not refused(MeterReading(**stated))
    for more in ({"shows": -1}, {"entered_by": ""}, {"review": "confirmed"}, {"reviewed_by": "x"}):
        assert refused(MeterReading(**{**stated, **more}))


def test_codes_are_given_once(machine: Machine, meter: MachineMeter) -> None:
    assert refused(_meter(machine, code="M1"))
    for dealer in (machine.dealer, None):
        assert not refused(_plan(machine, dealer=dealer))
        assert refused(_plan(machine, dealer=dealer))
    assert not refused(ServiceFile(machine=machine))


def test_rows_that_are_added_to_are_never_changed(machine: Machine, meter: MachineMeter) -> None:
    reading = MeterReading(meter=meter, on=DAY, shows=10, entered_by="x", entered_at=NOW)
    profile = UseProfile(machine=machine, said_on=DAY, said_by="x")
    rows: tuple[Any, ...] = (reading, profile, _done(machine, tasks=["oil"]), _seen(machine, kind="event", event="e"))
    for row in rows:
        row.save()
        for change in (row.save, row.delete, type(row).objects.all().delete):
            with pytest.raises(RuntimeError, match="never changed"):
                change()
        with pytest.raises(RuntimeError, match="never changed"):
            type(row).objects.update(pk=row.pk)


def test_a_service_is_withdrawn_once(machine: Machine) -> None:
    row = _done(machine, tasks=["oil"])
    row.save()
    for first in (True, False):
        assert ServiceRecord.objects.withdraw(row.pk, at=NOW, by="x", reason="a slip") is first
    assert ServiceRecord.objects.standing().count() == 0


def test_a_machine_that_goes_takes_its_records_with_it(machine: Machine, meter: MachineMeter) -> None:
    MeterReading(meter=meter, on=DAY, shows=10, entered_by="x", entered_at=NOW).save()
    _done(machine, tasks=["oil"]).save()
    machine.delete()
    assert not MeterReading.objects.exists()
    assert not ServiceRecord.objects.exists()
