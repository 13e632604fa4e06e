"""Children of the demo end with it, however it ends."""

import os
import signal
import subprocess
import sys
import time
from pathlib import Path
from typing import NoReturn

import pytest

from service.management.children import ChildEnded, Children

pytestmark = pytest.mark.once

ROOT = Path(__file__).resolve().parents[2]
SLEEPER = (
    "-c",
    "import os, pathlib, sys, time; pathlib.Path(sys.argv[1]).write_text(str(os.getpid())); time.sleep(600)",
)
PARENT = """
import sys
from service.management.children import Children
with Children(folder=sys.argv[1]) as children:
    children.start("sleeper", ("-c", sys.argv[2], sys.argv[3]))
    sys.stdin.read()
"""


def awaited(file: Path) -> int:
    """Give the process id a child writes into `file`, once it has."""
    while not (file.exists() and file.read_text()):
        time.sleep(0.01)
    return int(file.read_text())


def alive(process: int) -> bool:
    """Say whether a process runs; one that has ended and only waits to be collected does not."""
    try:
        state = Path(f"/proc/{process}/stat").read_text().rpartition(")")[2].split()[0]
    except FileNotFoundError:
        return False
    return state != "Z"


def check_until_it_raises(children: Children) -> NoReturn:
    while True:
        children.check()
        time.sleep(0.01)


def test_leaving_the_block_ends_every_child(tmp_path: Path) -> None:
    with Children(folder=str(tmp_path)) as children:
        for name in ("one", "two"):
            children.start(name, (*SLEEPER, str(tmp_path / name)))
        processes = [awaited(tmp_path / name) for name in ("one", "two")]
        children.check()
        assert all(alive(process) for process in processes)
    assert not any(alive(process) for process in processes)


def test_a_child_that_ends_by_itself_is_named_with_its_code(tmp_path: Path) -> None:
    with Children(folder=str(tmp_path)) as children:
        children.start("worker", ("-c", "raise SystemExit(3)"))
        with pytest.raises(ChildEnded, match="The worker has ended by itself with code 3"):
            check_until_it_raises(children)


@pytest.mark.skipif(sys.platform != "linux", reason="only Linux tells a child that its parent was killed")
def test_a_killed_parent_takes_its_children_along(tmp_path: Path) -> None:
    command = [sys.executable, "-c", PARENT, str(tmp_path), SLEEPER[1], str(tmp_path / "child")]
    with subprocess.Popen(
        command, cwd=ROOT, stdin=subprocess.PIPE, env={**os.environ, "PYTHONPATH": str(ROOT)}
    ) as parent:
        child = awaited(tmp_path / "child")
        parent.send_signal(signal.SIGKILL)
    while alive(child):
        time.sleep(0.01)
