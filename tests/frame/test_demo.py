"""The demo: from an empty folder to a server that is ready, stopped without a trace, and run again at any time."""

import os
import re
import signal
import socket
import subprocess
import sys
from collections.abc import Iterator
from http.client import HTTPConnection
from pathlib import Path

import pytest

from service.management.demo_checks import send

pytestmark = pytest.mark.once

ROOT = Path(__file__).resolve().parents[2]
DEMO = (sys.executable, "manage.py", "demo")


@pytest.fixture
def environment(tmp_path: Path) -> dict[str, str]:
    """Give the environment of a machine that has never run the demo, with a port that is free just now."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    kept = {name: value for name, value in os.environ.items() if not name.startswith(("GUDGEON_", "DJANGO_"))}
    folders = {"GUDGEON_DATA_DIR": str(tmp_path / "data"), "GUDGEON_STATIC_DIR": str(tmp_path / "static")}
    return {**kept, **folders, "GUDGEON_PORT": str(port), "PYTHONUNBUFFERED": "1"}


def start(environment: dict[str, str]) -> "subprocess.Popen[str]":
    return subprocess.Popen(
        DEMO, cwd=ROOT, env=environment, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True
    )


def words_until_ready(demo: "subprocess.Popen[str]") -> str:
    """Read what the demo says up to its last line before it stays; a demo that ends before that fails the test."""
    said: list[str] = []
    assert demo.stdout
    for line in demo.stdout:
        said.append(line)
        if "Ctrl-C" in line:
            return "".join(said)
    pytest.fail(f"the demo ended with {demo.wait()} and said:\n{''.join(said)}")


def stopped(demo: "subprocess.Popen[str]", by: signal.Signals) -> int:
    demo.send_signal(by)
    demo.communicate()
    return demo.returncode


def address_in(said: str) -> str:
    found = re.search(r"http://127\.0\.0\.1:\d+", said)
    assert found
    return found.group()


def fetched(server: HTTPConnection, path: str) -> tuple[int, str]:
    server.request("GET", path)
    answer = server.getresponse()
    return answer.status, answer.read().decode("latin-1")


def processes_of(folder: str) -> Iterator[str]:
    """Give the command line of each process that was started with `folder` as its data folder."""
    for entry in Path("/proc").iterdir():
        try:
            if entry.name.isdigit() and folder.encode() in (entry / "environ").read_bytes():
                yield (entry / "cmdline").read_text().replace("\0", " ")
        except OSError:
            continue


def test_the_demo_serves_stops_cleanly_and_starts_again(environment: dict[str, str]) -> None:
    with start(environment) as first:
        said = words_until_ready(first)
        assert send(f"{address_in(said)}/readyz")[0] == 200
        assert stopped(first, signal.SIGINT) == 0
    keys = re.findall(r"gudgeon_live_\w{8}_\w{38}", said)
    assert len(keys) == 1
    assert not list(processes_of(environment["GUDGEON_DATA_DIR"]))

    with start(environment) as second:
        said_again = words_until_ready(second)
        assert address_in(said_again) == address_in(said)
        assert "issue_key" in said_again
        assert keys[0] not in said_again
        assert stopped(second, signal.SIGTERM) == 0
    assert not list(processes_of(environment["GUDGEON_DATA_DIR"]))


def test_a_killed_demo_leaves_nothing_in_the_way_of_the_next(environment: dict[str, str]) -> None:
    with start(environment) as killed:
        words_until_ready(killed)
        killed.kill()
        killed.communicate()
    with start(environment) as next_one:
        said = words_until_ready(next_one)
        assert send(f"{address_in(said)}/readyz")[0] == 200
        assert stopped(next_one, signal.SIGINT) == 0


def test_a_port_in_use_is_stepped_over_and_said(environment: dict[str, str]) -> None:
    with socket.socket() as other:
        other.bind(("127.0.0.1", int(environment["GUDGEON_PORT"])))
        other.listen()
        with start(environment) as demo:
            said = words_until_ready(demo)
            assert f"Port {environment['GUDGEON_PORT']} is taken" in said
            assert f":{environment['GUDGEON_PORT']}" not in address_in(said)
            assert stopped(demo, signal.SIGINT) == 0


def test_the_documentation_page_and_its_files_come_from_the_demo_itself(environment: dict[str, str]) -> None:
    with start(environment) as demo:
        server = HTTPConnection(address_in(words_until_ready(demo)).removeprefix("http://"))
        status, page = fetched(server, "/api/docs/")
        assert status == 200
        files = re.findall(r'(?:src|href)="(/static/[^"]+)"', page)
        assert files
        assert {fetched(server, file)[0] for file in files} == {200}
        server.close()
        assert stopped(demo, signal.SIGINT) == 0


def test_the_checks_of_the_demo_have_the_verdicts_in_its_file(environment: dict[str, str]) -> None:
    answer = subprocess.run((*DEMO, "--check"), cwd=ROOT, env=environment, capture_output=True, text=True, check=False)
    assert answer.returncode == 0, answer.stdout + answer.stderr
    assert "has the verdict it should have" in answer.stdout
    assert not re.search(r"gudgeon_live_\w{8}_\w{38}", answer.stdout)
    assert not list(processes_of(environment["GUDGEON_DATA_DIR"]))
