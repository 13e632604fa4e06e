"""The demo: from an empty folder to a server that is ready, stopped without a trace, and run again at any time.

A start takes seconds, so one story is played, a first run, a second that is killed and a third that asks its checks,
and each promise is held against what was seen in it.
"""

import os
import re
import signal
import socket
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from http.client import HTTPConnection
from pathlib import Path

import pytest

from service.management.demo_checks import send

pytestmark = pytest.mark.once

ROOT = Path(__file__).resolve().parents[2]
DEMO = (sys.executable, "manage.py", "demo")
KEY = re.compile(r"gudgeon_live_\w{8}_\w{38}")


@dataclass(frozen=True, slots=True)
class Run:
    """What one run of the demo said and did; `left` are the processes it left behind."""

    said: str
    port: int
    exit_code: int
    left: tuple[str, ...]
    ready: int = 0
    page: int = 0
    page_files: tuple[tuple[str, int], ...] = ()


@dataclass(frozen=True, slots=True)
class Story:
    wanted_port: int
    first: Run
    killed: Run
    checking: Run


@pytest.fixture(scope="module")
def story(tmp_path_factory: pytest.TempPathFactory) -> Story:
    folder = tmp_path_factory.mktemp("demo")
    wanted = free_port()
    environment = fresh_environment(folder, wanted)
    first = served(environment, end=signal.SIGINT)
    with socket.socket() as other_program:
        # The first run's connections may still be winding down on this port.
        other_program.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        other_program.bind(("127.0.0.1", wanted))
        other_program.listen()
        killed = served(environment, end=signal.SIGKILL)
    return Story(wanted_port=wanted, first=first, killed=killed, checking=checked(environment))


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port: int = probe.getsockname()[1]
        return port


def fresh_environment(folder: Path, port: int) -> dict[str, str]:
    """Give the environment of a machine that has never run the demo."""
    kept = {name: value for name, value in os.environ.items() if not name.startswith(("GUDGEON_", "DJANGO_"))}
    folders = {"GUDGEON_DATA_DIR": str(folder / "data"), "GUDGEON_STATIC_DIR": str(folder / "static")}
    return {**kept, **folders, "GUDGEON_PORT": str(port), "PYTHONUNBUFFERED": "1"}


def served(environment: dict[str, str], *, end: signal.Signals) -> Run:
    """Start the demo, look at it as a browser would, and end it by a signal."""
    with subprocess.Popen(
        DEMO, cwd=ROOT, env=environment, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True
    ) as demo:
        said = words_until_it_stays(demo)
        port = port_in(said)
        ready, _ = send(f"http://127.0.0.1:{port}/readyz")
        page, files = documentation(port)
        demo.send_signal(end)
        rest, _ = demo.communicate()
    left = tuple(processes_of(environment["GUDGEON_DATA_DIR"]))
    return Run(said + rest, port, demo.returncode, left, ready=ready, page=page, page_files=files)


def checked(environment: dict[str, str]) -> Run:
    answer = subprocess.run((*DEMO, "--check"), cwd=ROOT, env=environment, capture_output=True, text=True, check=False)
    left = tuple(processes_of(environment["GUDGEON_DATA_DIR"]))
    return Run(answer.stdout + answer.stderr, 0, answer.returncode, left)


def words_until_it_stays(demo: "subprocess.Popen[str]") -> str:
    """Read what the demo says up to its last line before it stays; a demo that ends before that fails the test."""
    said: list[str] = []
    assert demo.stdout
    for line in demo.stdout:
        said.append(line)
        if "Ctrl-C" in line:
            return "".join(said)
    pytest.fail(f"the demo ended with {demo.wait()} and said:\n{''.join(said)}")


def port_in(said: str) -> int:
    found = re.search(r"http://127\.0\.0\.1:(\d+)/api/v1/", said)
    assert found
    return int(found.group(1))


def documentation(port: int) -> tuple[int, tuple[tuple[str, int], ...]]:
    """Give the status of the documentation page and of each file it names."""
    server = HTTPConnection("127.0.0.1", port)
    status, page = fetched(server, "/api/docs/")
    named = re.findall(r'(?:src|href)="(/static/[^"]+)"', page)
    files = tuple((file, fetched(server, file)[0]) for file in named)
    server.close()
    return status, files


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


def test_a_first_run_is_ready_on_the_port_asked_for(story: Story) -> None:
    assert story.first.ready == 200
    assert story.first.port == story.wanted_port


def test_the_documentation_page_and_its_files_come_from_the_demo_itself(story: Story) -> None:
    assert story.first.page == 200
    assert story.first.page_files
    assert {status for _, status in story.first.page_files} == {200}


def test_ctrl_c_ends_the_demo_as_a_success_and_leaves_no_process(story: Story) -> None:
    assert story.first.exit_code == 0
    assert story.first.left == ()


def test_the_key_is_shown_on_the_first_run_and_never_again(story: Story) -> None:
    (key,) = KEY.findall(story.first.said)
    assert key not in story.killed.said + story.checking.said
    assert "issue_key" in story.killed.said


def test_a_port_in_use_is_stepped_over_and_said(story: Story) -> None:
    assert story.killed.port > story.wanted_port
    assert f"Port {story.wanted_port} is taken; using {story.killed.port}." in story.killed.said
    assert story.killed.ready == 200


def test_a_killed_demo_leaves_no_process_and_the_next_run_goes_through(story: Story) -> None:
    assert story.killed.exit_code == -signal.SIGKILL
    assert story.killed.left == ()
    assert story.checking.exit_code == 0, story.checking.said


def test_the_checks_of_the_demo_have_the_verdicts_in_its_file(story: Story) -> None:
    for verdict in ("accepted", "conditional", "rejected", "undetermined"):
        assert f": {verdict} - " in story.checking.said
    assert "has the verdict it should have" in story.checking.said
    assert story.checking.left == ()


def test_a_run_that_only_checks_shows_no_key(story: Story) -> None:
    assert KEY.findall(story.checking.said) == []
