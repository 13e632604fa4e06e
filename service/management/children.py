"""Child processes that end with their parent: on leaving the block, and on Linux also when the parent is killed."""

import ctypes
import signal
import subprocess
import sys
from collections.abc import Sequence
from types import TracebackType
from typing import Self

SECONDS_TO_END = 15
SET_PARENT_DEATH_SIGNAL = 1


class ChildEnded(Exception):
    """A child that should run on has ended by itself."""


class Children:
    """Starts children and stops all of them, last started first, when its block is left."""

    def __init__(self, *, folder: str) -> None:
        self._folder = folder
        self._running: dict[str, subprocess.Popen[bytes]] = {}

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.stop()

    def start(self, name: str, arguments: Sequence[str], *, handles: Sequence[int] = ()) -> None:
        """Run this Python with `arguments`; `handles` are the open file descriptors the child inherits."""
        self._running[name] = subprocess.Popen(
            [sys.executable, *arguments],
            cwd=self._folder,
            pass_fds=handles,
            stdin=subprocess.DEVNULL,
            # A group of its own, so that Ctrl-C reaches the parent alone and the order of stopping is ours.
            process_group=0,
            preexec_fn=end_with_parent,  # noqa: PLW1509 - no thread is running here that could hold a lock
        )

    def check(self) -> None:
        """Raise ChildEnded when one of them is no longer there."""
        for name, child in self._running.items():
            if child.poll() is not None:
                raise ChildEnded(f"The {name} has ended by itself with code {child.returncode}; its words are above.")

    def stop(self) -> None:
        for child in reversed(self._running.values()):
            child.terminate()
        for child in reversed(self._running.values()):
            try:
                child.wait(timeout=SECONDS_TO_END)
            except subprocess.TimeoutExpired:
                child.kill()
                child.wait()
        self._running.clear()


def end_with_parent() -> None:
    """Ask the kernel to end this process when its parent dies, so that kill -9 leaves no server behind."""
    if sys.platform == "linux":
        ctypes.CDLL(None).prctl(SET_PARENT_DEATH_SIGNAL, signal.SIGTERM)
