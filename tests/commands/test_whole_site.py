"""The whole site as ``docker-compose.yml`` puts it together, run natively: its own words for a proxy with TLS, two web
servers, two workers, and the database that the tests run on. One of each is killed under load, and nothing is lost.
"""

from __future__ import annotations

import http.client
import os
import re
import shlex
import signal
import socket
import ssl
import subprocess
import sys
import threading
import time
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest
from django.conf import settings
from django.core.management import CommandError, call_command
from ruamel.yaml import YAML

from guides.models import User
from roastery import machine

from .site import Site

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.data]

FULL = os.environ.get("FULL_COUNTS") == "1"
REQUESTS, JOBS = (4000, 200) if FULL else (200, 12)
VISITORS = 4
COMPOSE = YAML(typ="safe").load(settings.BASE_DIR / "docker-compose.yml")
PASSWORD = "a long one, made by the first start"
WORK = """
from django.conf import settings
from django.core.management import call_command
settings.JOB_LEASE_S = 2
from guides.management.commands import work
work._SWEEP_EVERY_S = 1.0
call_command("work", interval=0.05)
"""
"""The worker's own command, noticing within seconds and not minutes that another has died."""
ORDER = """
from guides.jobs import tasks
from guides.lifecycle import address
from tests.factories import LotFactory, published
version = published()
print(address.issue(LotFactory(coffee=version.guide.coffee)).code)
for number in range({jobs}):
    tasks.start("inserts_of_version", version_id=version.pk)
"""
STATES = "from guides.models import JobRun; print(*JobRun.objects.values_list('state', flat=True))"


def free_port() -> int:
    with socket.create_server(("127.0.0.1", 0)) as probe:
        return int(probe.getsockname()[1])


@dataclass
class Stack:
    site: Site
    webs: list[subprocess.Popen[bytes]]
    workers: list[subprocess.Popen[str]]
    plain: int
    secure: int
    trusted: ssl.SSLContext

    def ask(self, path: str, method: str = "GET", **headers: str) -> tuple[int, http.client.HTTPMessage, str]:
        """Ask through the proxy, by TLS with its certificate checked."""
        raw = socket.create_connection(("127.0.0.1", self.secure), timeout=30)
        link = http.client.HTTPConnection("guides.example")
        with self.trusted.wrap_socket(raw, server_hostname="guides.example") as link.sock:
            link.request(method, path, headers=headers)
            answer = link.getresponse()
            text = answer.read().decode(errors="replace")
        return answer.status, answer.headers, text


def proxy_words(folder: Path, plain: int, secure: int, webs: list[int]) -> str:
    """The compose file's own configuration, with the ports and paths of this machine."""
    words = str(COMPOSE["configs"]["proxy"]["content"]).replace("$$", "$")
    # A server whose death was noticed is asked again at once: there are only two, and one of them dies here.
    servers = "\n".join(f"server 127.0.0.1:{port} max_fails=0;" for port in webs)
    for theirs, ours in {
        "server web:8000;": servers,
        "listen 8080": f"listen 127.0.0.1:{plain}",
        "listen 8443": f"listen 127.0.0.1:{secure}",
        " /tmp/": f" {folder}/",
        "/run/secrets": str(folder),
    }.items():
        assert theirs in words
        words = words.replace(theirs, ours)
    return words


@pytest.fixture
def stack(new_site: Callable[[], Site], tmp_path: Path) -> Iterator[Stack]:
    site = new_site()
    site.set_up()
    (tmp_path / "admin_password").write_text(PASSWORD + "\n")
    for line in COMPOSE["services"]["setup"]["command"][-1].splitlines():
        python, script, *words = shlex.split(line.replace("/run/secrets", str(tmp_path)))
        assert (python, script) == ("python", "manage.py")
        site.must(*words)
    subprocess.run(
        [
            *("openssl", "req", "-x509", "-newkey", "ec", "-pkeyopt", "ec_paramgen_curve:prime256v1", "-nodes"),
            *("-days", "2", "-subj", "/CN=guides.example", "-addext", "subjectAltName=DNS:guides.example"),
            *("-keyout", tmp_path / "tls_key", "-out", tmp_path / "tls_certificate"),
        ],
        check=True,
        capture_output=True,
    )
    ports = [free_port() for _number in range(4)]
    webs = [_web(site, port) for port in ports[:2]]
    workers = [site.begin(WORK) for _number in range(2)]
    file = tmp_path / "guides.conf"
    file.write_text(proxy_words(tmp_path, *ports[2:], ports[:2]))
    nginx = machine.nginx()
    assert nginx, "nginx is not installed"
    # Started by root it would work as a user who does not see into a test's folder.
    also = "daemon off; user root;" if os.geteuid() == 0 else "daemon off;"
    # Into a file: a line for each try at the dead server would fill a pipe that nobody reads, and halt the proxy.
    with (tmp_path / "proxy.log").open("wb") as log:
        proxy = subprocess.Popen([nginx, "-c", file, "-p", tmp_path, "-g", also], stderr=log)
    trusted = ssl.create_default_context(cafile=str(tmp_path / "tls_certificate"))
    made = Stack(site, webs, workers, *ports[2:], trusted)
    try:
        _until(lambda: _answers(made), "the site answers")
        yield made
    finally:
        for process in (*webs, *workers, proxy):
            process.send_signal(signal.SIGTERM)
        for process in (*webs, *workers, proxy):
            try:
                process.communicate(timeout=15)
            except subprocess.TimeoutExpired:
                process.kill()
                process.communicate()


def _web(site: Site, port: int) -> subprocess.Popen[bytes]:
    program, *words = COMPOSE["services"]["web"]["command"]
    assert "0.0.0.0:8000" in words
    words = [f"127.0.0.1:{port}" if word == "0.0.0.0:8000" else word for word in words]
    command = ["-m", program, *words, "--log-level", "error"]
    # In a group of its own, so that master and worker are killed together, as a machine that fails takes both.
    return subprocess.Popen(
        [sys.executable, *command], cwd=settings.BASE_DIR, env=site.environment, start_new_session=True
    )


def _answers(stack: Stack) -> bool:
    try:
        return stack.ask("/health/ready")[0] == 200
    except OSError:
        return False


def _until(holds: Callable[[], bool], what: str, seconds: float = 90) -> None:
    until = time.monotonic() + seconds
    while not holds():
        assert time.monotonic() < until, what
        time.sleep(0.05)


def test_workers_run_what_the_compose_file_says() -> None:
    assert COMPOSE["services"]["worker"]["command"] == ["python", "manage.py", "work"]


def test_the_site_outlives_a_web_server_and_a_worker(stack: Stack, capsys: pytest.CaptureFixture[str]) -> None:
    code = stack.site.run(ORDER.format(jobs=JOBS)).split()[0]
    _through_the_proxy(stack, code)
    statuses = _load(stack, f"/L/{code}", kill=stack.webs[0])
    stack.workers[0].kill()
    began = time.monotonic()
    _until(lambda: set(stack.site.run(STATES).split()) == {"done"}, "every job is done", seconds=300)
    states = Counter(stack.site.run(STATES).split())
    with capsys.disabled():
        print(f"\n{REQUESTS} requests with one of two web servers killed: {dict(statuses)}; ", end="")
        print(f"{JOBS} jobs with one of two workers killed: {dict(states)} after {time.monotonic() - began:.0f} s")
    assert statuses == {200: REQUESTS}
    assert states == {"done": JOBS + 1}, "publishing asks for one itself"
    stack.site.must("work", "--alive")


def _through_the_proxy(stack: Stack, code: str) -> None:
    """What proxies mostly break: redirects, secure cookies, the form guard, and whom a visitor passes for."""
    link = http.client.HTTPConnection("127.0.0.1", stack.plain, timeout=30)
    link.request("GET", f"/L/{code}?in=sv", headers={"Host": "guides.example"})
    moved = link.getresponse()
    assert (moved.status, moved.headers["Location"]) == (301, f"https://guides.example/L/{code}?in=sv")
    link.close()
    status, headers, _page = stack.ask(f"/L/{code}")
    assert status == 200
    assert "max-age" in headers["Strict-Transport-Security"]
    assert "Set-Cookie" not in headers
    assert stack.ask("/", Host="other.example")[0] == 400
    status, headers, page = stack.ask("/admin/login/")
    assert "Secure" in headers["Set-Cookie"]
    cookie = headers["Set-Cookie"].split(";")[0]
    token = re.search(r'name="csrfmiddlewaretoken" value="(\w+)"', page)
    assert token is not None
    form = f"csrfmiddlewaretoken={token[1]}&username=admin&password={PASSWORD.replace(' ', '+').replace(',', '%2C')}"
    assert _log_in(stack, form, cookie) == 302
    for number in range(8):
        wrong = form.replace("made", f"guess{number}")
        _log_in(stack, wrong, cookie, **{"X-Forwarded-For": f"192.0.2.{number}"})
    assert _log_in(stack, form, cookie) == 429, "inventing addresses buys no guesses"


def _log_in(stack: Stack, form: str, cookie: str, **headers: str) -> int:
    raw = socket.create_connection(("127.0.0.1", stack.secure), timeout=30)
    link = http.client.HTTPConnection("guides.example")
    told = {
        "Content-Type": "application/x-www-form-urlencoded",
        "Cookie": cookie,
        "Referer": "https://guides.example/admin/login/",
        **headers,
    }
    with stack.trusted.wrap_socket(raw, server_hostname="guides.example") as link.sock:
        link.request("POST", "/admin/login/", body=form, headers=told)
        return link.getresponse().status


def _load(stack: Stack, path: str, kill: subprocess.Popen[bytes]) -> Counter[int]:
    """Ask from four sides at once, and kill a web server when half the answers are in.

    An answer that was on its way when its server died is cut off: nobody can hand on the rest of it. That visitor asks
    once more, as a browser does; there can be one such answer a visitor, and what is asked again must come whole.
    """
    statuses: Counter[int] = Counter()
    cut_off: list[str] = []
    lock = threading.Lock()

    def visitor() -> None:
        for _number in range(REQUESTS // VISITORS):
            try:
                status = stack.ask(path)[0]
            except http.client.IncompleteRead as cut:
                cut_off.append(repr(cut))
                status = stack.ask(path)[0]
            with lock:
                statuses[status] += 1
                half = statuses.total() == REQUESTS // 2
            if half:
                os.killpg(kill.pid, signal.SIGKILL)

    visitors = [threading.Thread(target=visitor) for _side in range(VISITORS)]
    for thread in visitors:
        thread.start()
    for thread in visitors:
        thread.join()
    assert len(cut_off) <= VISITORS, cut_off
    return statuses


def test_the_first_admin_is_made_once(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = tmp_path / "password"
    file.write_text("short")
    with pytest.raises(CommandError, match="No administrator was made"):
        call_command("first_admin", password_file=file)
    with pytest.raises(CommandError, match="nowhere cannot be read"):
        call_command("first_admin", password_file=tmp_path / "nowhere")
    file.write_text(PASSWORD)
    call_command("first_admin", password_file=file)
    call_command("first_admin", password_file=file, username="another")
    assert "already" in capsys.readouterr().out
    assert [user.username for user in User.objects.all()] == ["admin"]
    assert User.objects.get().check_password(PASSWORD)
