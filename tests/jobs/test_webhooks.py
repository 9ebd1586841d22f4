"""Webhooks: told once of everything, signed, tried again, and never sent where they must not go.

Outside sources: Standard Webhooks 1.0.0 (headers, and that id, time and body are signed, from memory); OpenSSL signs
the same message on its own. RFC 9110 for what is a success and a redirect.
"""

from __future__ import annotations

import base64
import json
import socket
import subprocess
import threading
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer

import pytest
from django.test import override_settings
from django.utils import timezone

from guides.choices import JobState
from guides.jobs import outgoing, receivers, sweeper, tasks, webhooks
from guides.jobs.outgoing import Forbidden, NotSent
from guides.lifecycle import recall, withdraw
from guides.lifecycle.errors import Refused
from guides.lifecycle.webhooks import end, try_out
from guides.models import Event, JobRun, Webhook
from tests.factories import UserFactory
from tests.factories.programs import told
from tests.public import world

KIND = webhooks.KIND
LOCAL = override_settings(WEBHOOK_PRIVATE_ADDRESSES=True)


@dataclass
class Shop:
    """A machine that is told things; ``answers`` are the statuses it gives, the last one again and again."""

    url: str = ""
    answers: list[int] = field(default_factory=lambda: [200])
    heard: list[tuple[dict[str, str], bytes]] = field(default_factory=list)


@pytest.fixture
def shop_machine() -> Iterator[Shop]:
    shop = Shop()

    class Handler(BaseHTTPRequestHandler):
        def do_POST(self) -> None:
            body = self.rfile.read(int(self.headers["Content-Length"]))
            shop.heard.append(({name.lower(): value for name, value in self.headers.items()}, body))
            self.send_response(shop.answers.pop(0) if len(shop.answers) > 1 else shop.answers[0])
            self.send_header("Location", "http://127.0.0.1:9/elsewhere")
            self.send_header("Content-Length", "0")
            self.end_headers()

        def log_message(self, *_args: object) -> None:
            pass

    server = ThreadingHTTPServer(("127.0.0.1", 0), Handler)
    shop.url = f"http://127.0.0.1:{server.server_port}/hooks?from=guides"
    thread = threading.Thread(target=server.serve_forever, kwargs={"poll_interval": 0.01})
    thread.start()
    yield shop
    server.shutdown()
    thread.join()
    server.server_close()


def asked_for() -> list[JobRun]:
    return list(JobRun.objects.filter(kind=KIND).order_by("created_at"))


def worked_off(run: JobRun) -> JobRun:
    tasks.perform.func(str(run.pk))
    run.refresh_from_db()
    return run


@LOCAL
@pytest.mark.django_db
@pytest.mark.data
def test_each_change_is_told_once_to_those_who_asked(shop_machine, django_capture_on_commit_callbacks) -> None:
    world.roastery()
    told(shop_machine.url)
    told(shop_machine.url + "&only", "lot.recalled")
    with django_capture_on_commit_callbacks(execute=True):
        lot, _code = world.bag()
        version = world.guide_for(lot)
        withdraw.withdraw(version, by=world.boss(), reason="Too hot.")
        recall.recall(lot, by=world.boss(), reason="A screw may be in it.")
    sweeper.sweep()
    runs = asked_for()
    assert len(runs) == 4
    for run in runs:
        assert worked_off(run).state == JobState.DONE, run.error
        worked_off(run)  # called twice, sent once
    bodies = [json.loads(body) for _headers, body in shop_machine.heard]
    assert sorted(body["type"] for body in bodies) == [
        "guide.published", "guide.withdrawn", "lot.recalled", "lot.recalled",
    ]  # fmt: skip
    assert len({headers["webhook-id"] for headers, _body in shop_machine.heard}) == 4
    (recalled, *_rest) = [body for body in bodies if body["lot"]]
    assert (recalled["lot"], recalled["reason"]) == (lot.name, "A screw may be in it.")
    assert recalled["address"] == f"http://guides.test/api/v1/lots/{lot.name}"


@LOCAL
@pytest.mark.django_db
@pytest.mark.parametrize(("answers", "told_of_it"), [([204], {"sent": True, "status": 204}),
                                                      ([410], {"sent": False, "why": "It answered 410."})])  # fmt: skip
def test_a_test_is_sent_once_signed_like_the_rest(
    shop_machine, answers, told_of_it, django_capture_on_commit_callbacks
) -> None:
    shop_machine.answers = answers
    webhook = told(shop_machine.url, "lot.recalled")
    with django_capture_on_commit_callbacks(execute=True):
        try_out(webhook, by=webhook.created_by)
    (run,) = JobRun.objects.filter(kind=webhooks.TRIAL)
    assert (worked_off(run).state, run.result) == (JobState.DONE, told_of_it)
    ((headers, body),) = shop_machine.heard
    assert (json.loads(body)["type"], json.loads(body)["lot"]) == ("test", None)
    sent_at = datetime.fromtimestamp(int(headers["webhook-timestamp"]), tz=UTC)
    assert headers["webhook-signature"] == webhooks.signed(
        webhook.secret, headers["webhook-id"], sent_at, body)["webhook-signature"]  # fmt: skip
    other = webhooks.signed(Webhook(url="x").secret, headers["webhook-id"], sent_at, body)
    assert headers["webhook-signature"] != other["webhook-signature"]


@pytest.mark.django_db
def test_what_is_ended_is_sent_no_test(shop_machine) -> None:
    webhook = told("https://shop.example/hooks")
    end(webhook, by=webhook.created_by)
    with pytest.raises(Refused):
        try_out(Webhook.objects.get(), by=webhook.created_by)


@LOCAL
@pytest.mark.django_db
def test_nothing_hidden_and_nothing_from_before_is_told(shop_machine) -> None:
    world.roastery()
    lot, _code = world.bag()
    world.guide_for(lot)
    told(shop_machine.url)
    hidden, _code = world.bag(coffee=lot.coffee, is_public=False)
    recall.recall(hidden, by=world.boss(), reason="A screw may be in it.")
    receivers.tell_webhooks()
    assert asked_for() == []


@LOCAL
@pytest.mark.django_db
def test_what_a_killed_process_left_untold_is_told_by_the_sweeper(shop_machine) -> None:
    """Inside a test nothing is committed, so no signal is sent."""
    world.roastery()
    told(shop_machine.url)
    world.coffee_with_guide()
    assert asked_for() == []
    sweeper.sweep()
    assert len(asked_for()) == 1
    sweeper.sweep()
    assert len(asked_for()) == 1
    assert webhooks.due()
    assert timedelta(hours=24) == webhooks.LOOKED_BACK


@LOCAL
@pytest.mark.django_db
def test_it_is_tried_again_under_the_same_id_with_a_new_time(shop_machine, caplog) -> None:
    world.roastery()
    shop_machine.answers = [500, 302, 204]
    told(shop_machine.url)
    world.coffee_with_guide()
    receivers.tell_webhooks()
    (run,) = asked_for()
    assert (worked_off(run).state, run.error) == (JobState.WAITING, "It answered 500.")
    assert (worked_off(run).state, run.error) == (
        JobState.WAITING,
        "It answered 302. Redirects are not followed.",
    )
    assert (worked_off(run).state, run.result) == (JobState.DONE, {"sent": True, "status": 204})
    assert {headers["webhook-id"] for headers, _body in shop_machine.heard} == {str(run.pk)}
    assert len({body for _headers, body in shop_machine.heard}) == 1
    assert "Traceback" not in caplog.text


@LOCAL
@pytest.mark.django_db
def test_it_is_given_up_after_hours_and_can_be_started_again() -> None:
    world.roastery()
    with socket.create_server(("127.0.0.1", 0)) as nobody:
        port = nobody.getsockname()[1]
    told(f"http://127.0.0.1:{port}/")
    world.coffee_with_guide()
    receivers.tell_webhooks()
    (run,) = asked_for()
    for _attempt in range(7):
        assert worked_off(run).state == JobState.WAITING
    assert worked_off(run).state == JobState.FAILED
    assert "refused" in run.error
    assert sum((tasks.runs.wait_before(attempt) for attempt in range(1, 8)), timedelta()) > timedelta(hours=7)
    assert tasks.again(run).state == JobState.WAITING


@LOCAL
@pytest.mark.django_db
def test_what_waits_for_a_webhook_that_ended_is_dropped(shop_machine) -> None:
    world.roastery()
    webhook = told(shop_machine.url)
    world.coffee_with_guide()
    receivers.tell_webhooks()
    end(webhook, by=UserFactory(role="shop"))
    (run,) = asked_for()
    assert (worked_off(run).state, run.result) == (JobState.DONE, {"sent": False})
    assert shop_machine.heard == []


@LOCAL
@pytest.mark.django_db
def test_the_signature_is_the_one_openssl_makes(shop_machine) -> None:
    world.roastery()
    webhook = told(shop_machine.url)
    world.coffee_with_guide()
    receivers.tell_webhooks()
    worked_off(asked_for()[0])
    ((headers, body),) = shop_machine.heard
    assert abs(int(headers["webhook-timestamp"]) - timezone.now().timestamp()) < 60
    key = base64.b64decode(webhook.secret.removeprefix("whsec_"), validate=True)
    assert len(key) == 32
    signed = b".".join((headers["webhook-id"].encode(), headers["webhook-timestamp"].encode(), body))
    command = ["openssl", "dgst", "-sha256", "-mac", "HMAC", "-macopt", f"hexkey:{key.hex()}", "-binary"]
    by_openssl = subprocess.run(command, input=signed, capture_output=True, check=True).stdout
    assert headers["webhook-signature"] == "v1," + base64.b64encode(by_openssl).decode()


# Machines that a name may lead to, at the moment of sending.


@pytest.fixture
def leads_to(monkeypatch: pytest.MonkeyPatch):
    """Let every name lead to given addresses, and count connections."""
    opened: list[tuple[str, int]] = []

    def lead(*addresses: str) -> list[tuple[str, int]]:
        def resolve(host: str, port: int, **_options: object) -> list[tuple]:
            return [(socket.AF_INET, socket.SOCK_STREAM, 6, "", (address, port)) for address in addresses]

        def connect(address: tuple[str, int], *_args: object) -> socket.socket:
            opened.append(address)
            raise ConnectionRefusedError("nobody there")

        monkeypatch.setattr(outgoing.socket, "getaddrinfo", resolve)
        monkeypatch.setattr(outgoing.socket, "create_connection", connect)
        return opened

    return lead


@pytest.mark.parametrize(
    "inside", ["10.0.0.7", "127.0.0.1", "169.254.169.254", "::1", "::ffff:10.0.0.7", "fe80::1%eth0"]
)
def test_a_name_that_leads_inside_when_it_is_sent_is_refused(leads_to, inside: str) -> None:
    """DNS rebinding: the name was fine when the webhook was added."""
    opened = leads_to("93.184.216.34", inside)
    with pytest.raises(Forbidden, match="private network"):
        outgoing.post("https://shop.example/hooks", b"{}", {})
    assert opened == []


def test_control_with_the_guard_off_the_same_name_is_asked(leads_to) -> None:
    opened = leads_to("10.0.0.7")
    with LOCAL, pytest.raises(NotSent, match="nobody there"):
        outgoing.post("https://shop.example/hooks", b"{}", {})
    assert opened == [("10.0.0.7", 443)]


def test_the_connection_goes_to_what_was_looked_at(leads_to) -> None:
    opened = leads_to("93.184.216.34", "93.184.216.35")
    with pytest.raises(NotSent):
        outgoing.post("https://shop.example:8443/hooks", b"{}", {})
    assert opened == [("93.184.216.34", 8443), ("93.184.216.35", 8443)]


@pytest.mark.parametrize("url", ["https://127.0.0.1/", "http://shop.example/", "https://localhost/"])
def test_an_address_that_was_allowed_once_is_looked_at_again(leads_to, url: str) -> None:
    opened = leads_to("127.0.0.1")
    with pytest.raises(Forbidden):
        outgoing.post(url, b"{}", {})
    assert opened == []


@LOCAL
@pytest.mark.django_db
def test_a_private_webhook_fails_once_the_setting_is_taken_back(shop_machine) -> None:
    world.roastery()
    told(shop_machine.url)
    world.coffee_with_guide()
    receivers.tell_webhooks()
    with override_settings(WEBHOOK_PRIVATE_ADDRESSES=False):
        run = worked_off(asked_for()[0])
    assert run.state == JobState.WAITING
    assert "private network" in run.error
    assert shop_machine.heard == []
    assert Webhook.objects.count() == Event.objects.filter(verb="added_webhook").count() == 1
