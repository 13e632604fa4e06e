"""The due list of five hundred machines of a dealer: statements, and processor time with no season counted yet.

Invented machines of five patterns of use with a year of monthly readings, each with a profile of its own: the worst
case for what is kept of seasons, since machines of one customer mostly share what was said of their use.
"""

from __future__ import annotations

import time
from datetime import date, timedelta
from random import Random
from typing import Any

from django.db import connection
from django.test.utils import CaptureQueriesContext

from catalog.loading import forget
from catalog.models import EngineSpecification, Machine
from catalog.models.machine_facts import machine_text
from kits.domain.use_profiles import hours_of_year
from kits.models import MachineMeter, MeterReading, ServiceFile, ServiceRecord, UseProfile
from kits.usecases.fleet_due import Wanted, first_due, fleet_document
from service.operations.models import Dealer
from tests.api.world import NOW, load_world
from tests.benchmarks.measuring import Row
from tests.benchmarks.served import empty_database

MACHINES, READINGS = 500, 12
AS_OF = date(2026, 3, 9)
AIM = 2.0  # seconds of the process, which what else runs on the computer does not change much
BUILDS = (("VRD-H40", "S-131"), ("OLM-K55", "D-30A"), ("TSK-R60", "N-43"))
# Month and day of a season, and tenths of an hour a day: irrigation, ice, standby and two of shifts, all invented.
SEASONS: tuple[tuple[tuple[int, int], tuple[int, int], int, int], ...] = (
    ((4, 20), (9, 20), 100, 190), ((9, 1), (4, 30), 20, 80), ((1, 1), (12, 31), 0, 3), ((1, 1), (12, 31), 30, 80),
    ((8, 22), (7, 31), 40, 110),
)  # fmt: skip


def measure() -> list[Row]:
    with empty_database():
        load_world()
        dealer = Dealer.objects.create(code="benchmark", name="Benchmark", zone="Europe/Paris")
        _fleet(dealer)
        _listed(dealer)  # loads the rulebook and the statistics library, which a server has loaded
        hours_of_year.cache_clear()
        forget()
        with CaptureQueriesContext(connection) as captured:
            cold = _listed(dealer)
        warm = _listed(dealer)
        statements = len(captured)
    return [
        Row("due list of 500 machines", cold, "s", f"<= {AIM:.0f} s", cold <= AIM,
            {"seasons counted before s": warm, "statements": float(statements)}),
        Row("  its statements", float(statements), "statements", "<= 15", statements <= 15),
    ]  # fmt: skip


def _listed(dealer: Dealer) -> float:
    rows = Machine.objects.visible_to(dealer).select_related("customer").order_by("name", "id")
    began = time.process_time()
    wanted = Wanted(AS_OF)
    found = [fleet_document(row, due, wanted) for row, due in first_due(dealer, rows, wanted, MACHINES)]
    taken = time.process_time() - began
    if len(found) != MACHINES or not all(one["tasks"] for one in found):
        raise RuntimeError(f"{len(found)} machines were listed, some of them without work.")
    return taken


def _fleet(dealer: Dealer) -> None:
    rng = Random(11)  # noqa: S311 - invented machines, the same every time
    builds = [EngineSpecification.objects.get(model=model, spec=spec) for model, spec in BUILDS]
    machines = [_machine(dealer, n, builds[n % len(builds)]) for n in range(MACHINES)]
    Machine.objects.bulk_create(machines)
    ServiceFile.objects.bulk_create(ServiceFile(machine=machine) for machine in machines)
    meters = [MachineMeter(machine=machine, code="M1", unit="hours", counts="engine", start=0) for machine in machines]
    MachineMeter.objects.bulk_create(meters)
    MeterReading.objects.bulk_create([reading for meter in meters for reading in _readings(meter, rng)])
    UseProfile.objects.bulk_create([_profile(machine, n, rng) for n, machine in enumerate(machines)])
    ServiceRecord.objects.bulk_create([_service(machine, n) for n, machine in enumerate(machines)])


def _machine(dealer: Dealer, number: int, specification: EngineSpecification) -> Machine:
    machine = Machine(dealer=dealer, name=f"Machine {number:03}", specification=specification)
    machine.facts = machine_text(machine, (), ())
    return machine


def _readings(meter: MachineMeter, rng: Random) -> list[MeterReading]:
    shows, found = 10_000, []
    for month in range(READINGS, 0, -1):
        shows += rng.randint(0, 1_500)
        found.append(_reading(meter, AS_OF - timedelta(days=30 * month - 25), shows))
    return found


def _reading(meter: MachineMeter, on: date, shows: int) -> MeterReading:
    return MeterReading(meter=meter, on=on, shows=shows, entered_by="benchmark", entered_at=NOW)


def _profile(machine: Machine, number: int, rng: Random) -> UseProfile:
    opens, closes, least, most = SEASONS[number % len(SEASONS)]
    season = {"opens": _yearly(opens), "closes": _yearly(closes)}
    period: dict[str, Any] = {
        "least": f"{least / 10:g}", "most": f"{(most + rng.randint(0, 50)) / 10:g}", "first": None, "last": None,
        "season": season, "may_shift": rng.randint(0, 14),
    }  # fmt: skip
    return UseProfile(machine=machine, said_on="2025-01-01", said_by="benchmark", severe=None, periods=[period])


def _yearly(day: tuple[int, int]) -> dict[str, int]:
    return {"month": day[0], "day": day[1]}


def _service(machine: Machine, number: int) -> ServiceRecord:
    level = ("250", "250", "12-months")[number % len(BUILDS)]
    return ServiceRecord(machine=machine, on="2025-06-02", hours=11_000, levels=[level], by="benchmark", entered_at=NOW)
