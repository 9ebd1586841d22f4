"""Does the background work."""

from __future__ import annotations

import signal
import threading
import time
from argparse import ArgumentParser
from types import FrameType
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils.crypto import get_random_string
from django_tasks_db.management.commands.db_worker import Worker

from guides.jobs import due, runs, sweeper, workers
from guides.queries.condition import SILENT_AFTER

_SWEEP_EVERY_S = 15.0
_LOOK_EVERY_S = 5.0  # for what is due: customers are told a minute, not a second


class Command(BaseCommand):
    help = (
        "Does the background work, such as making inserts ahead of time, until it is stopped. Several may run at "
        "once. Work whose worker was killed is taken up again."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--once", action="store_true", help="Do one piece of work at most, then stop.")
        parser.add_argument("--burst", action="store_true", help="Do what is waiting, then stop.")
        parser.add_argument(
            "--alive", action="store_true", help="Say whether a worker of this machine lives, and stop."
        )
        parser.add_argument("--interval", type=float, default=1.0, help="Seconds between looks at an empty queue.")

    def handle(self, *, once: bool, burst: bool, alive: bool, interval: float, **_options: Any) -> None:
        if alive:
            if not workers.lives_here():
                raise CommandError(f"No worker of this machine has said anything for {SILENT_AFTER.seconds} s.")
            return
        try:
            self._work(once, burst, interval)
        finally:
            workers.say_stopped()

    def _work(self, once: bool, burst: bool, interval: float) -> None:
        runs.stopping.clear()
        swept_at = looked_at = float("-inf")
        with _StopsCleanly():
            self._say("Working. Stop with Ctrl+C.")
            while not runs.stopping.is_set():
                workers.say_alive()
                if time.monotonic() - swept_at >= _SWEEP_EVERY_S:
                    self._sweep()
                    swept_at = time.monotonic()
                if time.monotonic() - looked_at >= _LOOK_EVERY_S:
                    due.start_due()
                    looked_at = time.monotonic()
                worked = _work_once()
                if once or (burst and not worked):
                    break
                if not worked:
                    runs.stopping.wait(interval)

    def _sweep(self) -> None:
        swept = sweeper.sweep()
        if swept.queued or swept.closed:
            self._say(f"Left by other workers: {swept.queued} taken up again, {swept.closed} closed.")

    def _say(self, line: str) -> None:
        self.stdout.write(line)
        self.stdout.flush()


def _work_once() -> bool:
    """Take one task from the queue and do it; ``False`` when there is none."""
    worker = Worker(
        queue_names=["*"],
        interval=0,
        batch=True,
        backend_name="default",
        startup_delay=False,
        max_tasks=1,
        worker_id=get_random_string(32),
        excluded_queue_names=[],
    )
    worker.run()
    return bool(worker._run_tasks)


class _StopsCleanly:
    """While in force, SIGTERM and Ctrl+C ask for a stop: work in hand is given back, and nothing is lost."""

    _SIGNALS = (signal.SIGTERM, signal.SIGINT)

    def __enter__(self) -> None:
        self._before: dict[signal.Signals, Any] = {}
        if threading.current_thread() is threading.main_thread():
            self._before = {number: signal.signal(number, self._stop) for number in self._SIGNALS}

    def __exit__(self, *_error: object) -> None:
        for number, handler in self._before.items():
            signal.signal(number, handler)

    @staticmethod
    def _stop(_number: int, _frame: FrameType | None) -> None:
        runs.stopping.set()
