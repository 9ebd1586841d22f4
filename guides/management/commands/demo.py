"""The demo, from an empty folder to a running site, and off again with Ctrl-C."""

from __future__ import annotations

import http.client
import signal
import socket
import subprocess
import sys
import time
from argparse import ArgumentParser
from types import FrameType
from typing import Any

from django.conf import settings
from django.core.management import BaseCommand, CommandError, call_command

from guides.management.demo import static_files
from guides.management.demo.world import PASSWORD
from guides.models import Address, User
from guides.queries import contents
from guides.queries.contents import Contents

HOST = "127.0.0.1"
READY_WITHIN_S = 60
STOP_WITHIN_S = 10
_GUNICORN = ("roastery.wsgi", "--threads", "4", "--log-level", "warning")


class Command(BaseCommand):
    help = "Set up and serve the demo: a site of its own with an invented roastery in it. Ctrl-C stops it."
    requires_system_checks = ()

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--port", type=int, default=8000, help="Where to serve it (8000).")

    def handle(self, *args: Any, port: int, **options: Any) -> None:
        _refuse_real_site()
        _refuse_busy(port)
        self.stderr.write("Preparing the demo …")
        call_command("migrate", interactive=False, verbosity=0)
        static_files.collect()
        call_command("seed_demo")
        # SIGINT too: a shell that starts the demo in the background has it ignored.
        for stopping in (signal.SIGINT, signal.SIGTERM, signal.SIGHUP):
            signal.signal(stopping, _interrupt)
        processes: dict[str, subprocess.Popen[bytes]] = {}
        try:
            processes["worker"] = _start(str(settings.BASE_DIR / "manage.py"), "work")
            processes["web server"] = _start("-m", "gunicorn", *_GUNICORN, "--bind", f"{HOST}:{port}")
            _wait_until_ready(port, processes)
            self.stdout.write(_welcome())
            self.stdout.flush()
            _watch(processes)
        except KeyboardInterrupt:
            self.stderr.write("Stopping the demo.")
        finally:
            _stop(processes)


def _refuse_real_site() -> None:
    if not settings.DEMO:
        raise CommandError("DEMO is off in this environment. Unset DEMO, or set it to 1, and start the demo again.")
    if contents.found() is Contents.OWN_WORK:
        raise CommandError(
            "DATABASE_URL or DATA_DIR names a database with a roastery's own work in it; the demo stays out of it. "
            "Unset both and start the demo again."
        )


def _refuse_busy(port: int) -> None:
    with socket.socket() as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind((HOST, port))
        except (OSError, OverflowError) as error:
            raise CommandError(
                f"Port {port} is not free ({error}); perhaps the demo runs in another terminal. "
                f"Stop what holds it, or choose another: python3 manage.py demo --port {8010 if port != 8010 else 8020}"
            ) from error


def _start(*arguments: str) -> subprocess.Popen[bytes]:
    # In a session of its own, Ctrl-C reaches only this process, which then stops the others in order.
    return subprocess.Popen(  # noqa: S603
        [sys.executable, *arguments], cwd=settings.BASE_DIR, start_new_session=True, stdout=subprocess.DEVNULL
    )


def _wait_until_ready(port: int, processes: dict[str, subprocess.Popen[bytes]]) -> None:
    answer = "no answer"
    until = time.monotonic() + READY_WITHIN_S
    while time.monotonic() < until:
        _refuse_ended(processes)
        try:
            connection = http.client.HTTPConnection(HOST, port, timeout=5)
            connection.request("GET", "/health/ready")
            response = connection.getresponse()
            answer = response.read().decode()
            if response.status == http.HTTPStatus.OK:
                return
        except OSError as error:
            answer = str(error)
        time.sleep(0.2)
    raise CommandError(f"The demo is not ready after {READY_WITHIN_S} s: {answer}")


def _watch(processes: dict[str, subprocess.Popen[bytes]]) -> None:
    while True:
        _refuse_ended(processes)
        time.sleep(0.5)


def _refuse_ended(processes: dict[str, subprocess.Popen[bytes]]) -> None:
    for name, process in processes.items():
        if process.poll() is not None:
            raise CommandError(f"The demo's {name} ended with status {process.returncode}; see above for why.")


def _stop(processes: dict[str, subprocess.Popen[bytes]]) -> None:
    for process in processes.values():
        process.terminate()
    for process in processes.values():
        try:
            process.wait(STOP_WITHIN_S)
        except subprocess.TimeoutExpired:
            process.kill()
            process.wait()


def _interrupt(_signal: int, _frame: FrameType | None) -> None:
    raise KeyboardInterrupt


def _welcome() -> str:
    base = settings.PUBLIC_BASE_URL
    bags = Address.objects.select_related("lot__coffee").order_by("lot__name", "-created_at")
    users = User.objects.filter(is_active=True).order_by("pk").prefetch_related("groups")
    lines = [
        "",
        "The demo is running. Everything in it is invented.",
        "",
        f"  Customers see  {base}/",
        f"  Staff work at  {base}/admin/",
        "",
        "  The codes on its bags lead to",
        *(f"    {bag.lot.name:<8} {base}/L/{bag.code}  {bag.lot.coffee}" for bag in bags),
        "",
        f"  Log-ins, all with the password {PASSWORD}:",
        *(f"    {user.username:<8} {', '.join(group.name for group in user.groups.all())}" for user in users),
        "",
        "Ctrl-C stops it; the next start goes on where it was. `python3 manage.py remove_demo` removes it.",
    ]
    return "\n".join(lines)
