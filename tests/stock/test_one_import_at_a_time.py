"""Of a dealer's files of one table one is imported at a time, in the order they were sent; the next one waits."""

from datetime import datetime

import pytest
from django.utils import timezone

from kits.models import ImportState, StockImport, SupplierPrice
from service.operations import jobs
from service.operations.models import Dealer, Job, JobState
from tests.api.world import Desk
from tests.operations.workers import at_once
from tests.stock.rows import fenmoor, other_branch, part
from tests.stock.sending import on_hand, outcome, price, send, stock_file

pytestmark = pytest.mark.db
NUMBER = "77-000"


def later() -> datetime:
    """When what waits is taken up again."""
    return timezone.now() + jobs.WAIT_FOR_ANOTHER


def sent(desk: Desk, count: int) -> str:
    number: str = send(desk, stock_file({NUMBER: count}), table="stock").json()["id"]
    return number


def begun() -> Job:
    """The oldest job in the hands of a worker that does not come to its end yet."""
    job = jobs.claim_next(timezone.now())
    assert job is not None
    StockImport.objects.filter(job=job).update(state=ImportState.RUNNING)
    return job


def states(*numbers: str) -> list[str]:
    return [outcome(number).row.state for number in numbers]


@pytest.fixture
def shop(tallis_bridge: Dealer) -> Dealer:
    fenmoor(tallis_bridge)
    part("VRD", NUMBER)
    return tallis_bridge


def test_the_next_file_waits_for_the_one_that_runs_and_uses_up_no_attempt(desk: Desk, shop: Dealer) -> None:
    first, second = sent(desk, 5), sent(desk, 7)
    running = begun()
    for _ in range(4):  # more often than a job that breaks off is tried
        jobs.run_due(later)
        assert states(first, second) == [ImportState.RUNNING, ImportState.QUEUED]
        Job.objects.filter(pk=second).update(run_after=timezone.now())
    assert Job.objects.get(pk=second).attempt == 0
    assert on_hand(NUMBER) == 0
    jobs.run(running, timezone.now)
    assert on_hand(NUMBER) == 5
    jobs.run_due(later)
    assert states(first, second) == [ImportState.APPLIED, ImportState.APPLIED]
    assert on_hand(NUMBER) == 7


def test_files_that_wait_go_in_the_order_they_were_sent(desk: Desk, shop: Dealer) -> None:
    first, second = sent(desk, 5), sent(desk, 7)
    Job.objects.filter(pk=first).update(run_after=later())
    jobs.run_due(timezone.now)
    assert states(first, second) == [ImportState.QUEUED, ImportState.QUEUED]
    for _ in range(2):
        Job.objects.filter(state=JobState.QUEUED).update(run_after=timezone.now())
        jobs.run_due(timezone.now)
    assert states(first, second) == [ImportState.APPLIED, ImportState.APPLIED]
    assert on_hand(NUMBER) == 7


def test_another_table_does_not_wait(desk: Desk, shop: Dealer) -> None:
    stock = sent(desk, 5)
    begun()
    rows = f"supplier,maker,number,price,pack,minimum\nfenmoor,VRD,{NUMBER},1.25,1,0\n"
    prices = send(desk, rows, table="prices").json()["id"]
    jobs.run_due(timezone.now)
    assert states(stock, prices) == [ImportState.RUNNING, ImportState.APPLIED]
    assert price(NUMBER) == SupplierPrice.objects.get().price == 12_500


def test_another_dealer_does_not_wait(desk: Desk, other_desk: Desk, shop: Dealer, weir_lane: Dealer) -> None:
    other_branch(weir_lane)
    ours = sent(desk, 5)
    begun()
    theirs = send(other_desk, "branch,maker,number,on_hand\nquay,VRD,77-000,1\n", table="stock").json()["id"]
    jobs.run_due(timezone.now)
    assert states(ours, theirs) == [ImportState.RUNNING, ImportState.APPLIED]


@pytest.mark.parametrize("end", [JobState.FAILED, JobState.CANCELLED])
def test_a_file_whose_job_was_given_up_or_cancelled_keeps_nobody_waiting(
    desk: Desk, shop: Dealer, end: JobState
) -> None:
    sent(desk, 5)
    problem = {"code": jobs.GIVEN_UP, "detail": "It broke off."} if end == JobState.FAILED else None
    jobs.Lease(begun(), timezone.now).finish(end, timezone.now(), problem=problem)
    second = sent(desk, 7)
    jobs.run_due(timezone.now)
    assert states(second) == [ImportState.APPLIED]


@pytest.mark.django_db(transaction=True)
def test_of_two_workers_at_once_one_imports_and_the_other_puts_its_file_off(desk: Desk, shop: Dealer) -> None:
    numbers = [sent(desk, 5), sent(desk, 7)]
    at_once(2, lambda _: jobs.run_due(timezone.now))
    jobs.run_due(later)
    assert states(*numbers) == [ImportState.APPLIED, ImportState.APPLIED]
    assert on_hand(NUMBER) == 7
