"""Sent files are kept byte for byte, each for its dealer, and let go when their time is up."""

import hashlib
from datetime import datetime, timedelta

import pytest

from service.errors import NotFound
from service.operations import files, jobs
from service.operations.housekeeping import FILES_KEPT_FOR, enqueue_daily
from service.operations.models import Dealer, StoredFile

pytestmark = pytest.mark.db


def test_a_file_is_kept_as_it_came_under_its_hash(tallis_bridge: Dealer, now: datetime) -> None:
    content = bytes(range(256))
    kept = files.keep_file(content, name="night\0 list.csv", dealer=tallis_bridge, now=now)
    assert files.content_of(str(kept.pk)) == content
    assert kept.sha256 == hashlib.sha256(content).hexdigest()
    assert kept.name == "night list.csv"
    assert list(StoredFile.objects.visible_to(None)) == []


def test_the_housekeeping_lets_old_files_go_and_says_what_is_gone(tallis_bridge: Dealer, now: datetime) -> None:
    old = files.keep_file(b"old", name="", dealer=tallis_bridge, now=now - FILES_KEPT_FOR - timedelta(seconds=1))
    new = files.keep_file(b"new", name="new.csv", dealer=None, now=now)
    enqueue_daily(now)
    jobs.run_due(lambda: now)
    assert files.content_of(str(new.pk)) == b"new"
    with pytest.raises(NotFound) as refused:
        files.content_of(str(old.pk))
    assert refused.value.code == "file_gone"
