"""The demo in a process of its own."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
PATIENCE_S = 180


class Demo:
    """``manage.py demo`` with its data in a folder, served from a port."""

    def __init__(self, folder: Path, port: int) -> None:
        kept = {name: os.environ[name] for name in ("PATH", "HOME") if name in os.environ}
        self.log = folder / f"log-{time.monotonic_ns()}"
        self.began = time.monotonic()
        with self.log.open("w") as log:
            self.process = subprocess.Popen(
                [sys.executable, "manage.py", "demo", "--port", str(port)],
                cwd=ROOT,
                env=kept | {"DATA_DIR": str(folder / "data")},
                stdout=log,
                stderr=subprocess.STDOUT,
            )

    def welcome(self) -> str:
        """Wait for the words that say it is running."""
        while time.monotonic() - self.began < PATIENCE_S:
            said = self.log.read_text()
            if "Ctrl-C stops it" in said:
                return said
            assert self.process.poll() is None, said
            time.sleep(0.2)
        raise AssertionError(f"no welcome after {PATIENCE_S} s: {self.log.read_text()}")

    def stop(self) -> str:
        """End it as Ctrl-C does, and give all it said."""
        self.process.send_signal(signal.SIGINT)
        try:
            self.process.wait(60)
        except subprocess.TimeoutExpired:
            self.process.kill()
            raise
        return self.log.read_text()
