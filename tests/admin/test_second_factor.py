"""The second factor: set up from what is drawn, asked for after the password, and no page is open without it.

Codes are computed here from RFC 6238 and RFC 4226 anew; their published vectors check that first.
"""

from __future__ import annotations

import base64
import hashlib
import hmac
import re
import struct
import time
from collections.abc import Iterator
from typing import Any
from urllib.parse import parse_qs, urlsplit

import numpy as np
import pytest
import time_machine
import zxingcpp
from django.core.management import CommandError, call_command
from django.test import Client
from django_otp.plugins.otp_static.models import StaticToken
from django_otp.plugins.otp_totp.models import TOTPDevice
from pytest_django import Settings

from guides.admin import second_factor
from guides.codes import qr
from guides.models import Event, User
from guides.models.kept_picture import picture_name
from tests.factories import GuideVersionFactory, UserFactory
from tests.factories.shown import step_picture

pytestmark = pytest.mark.django_db

PASSWORD = "a long one, kept by the owner"
STEP, SETUP = "/admin/second-step/", "/admin/second-factor/"


def code(key: bytes, at: float, digits: int = 6) -> str:
    """RFC 6238 over RFC 4226, with SHA-1 and steps of 30 s."""
    digest = hmac.new(key, struct.pack(">Q", int(at) // 30), hashlib.sha1).digest()
    offset = digest[-1] & 15
    return str((struct.unpack(">I", digest[offset : offset + 4])[0] & 0x7FFFFFFF) % 10**digits).zfill(digits)


@pytest.mark.parametrize(("at", "expected"), [(59, "94287082"), (1111111109, "07081804"), (20000000000, "65353130")])
def test_our_own_codes_are_those_of_the_standard(at: int, expected: str) -> None:
    """RFC 6238, appendix B, SHA-1."""
    assert code(b"12345678901234567890", at, 8) == expected


@pytest.fixture
def clock() -> Iterator[time_machine.Coordinates]:
    with time_machine.travel("2026-03-01T09:00:00Z", tick=False) as moving:
        yield moving


@pytest.fixture
def tove() -> User:
    return UserFactory(username="tove", role="publisher", password=PASSWORD)


def logged_in(user: User) -> Client:
    user.set_password(PASSWORD)
    user.save()
    client = Client()
    answer = client.post("/admin/login/", {"username": user.username, "password": PASSWORD, "next": "/admin/"})
    assert answer.status_code == 302
    return client


def key_in(page: str) -> bytes:
    """Read the key from the drawing alone, as a phone does."""
    path = re.search(r'<path fill="#000" d="([^"]+)"', page)
    side = re.search(r'viewBox="0 0 (\d+) ', page)
    assert path is not None
    assert side is not None
    modules = np.full((int(side[1]), int(side[1])), 255, np.uint8)
    for x, y, wide in re.findall(r"M(\d+) (\d+)h(\d+)", path[1]):
        modules[int(y), int(x) : int(x) + int(wide)] = 0
    [found] = zxingcpp.read_barcodes(np.kron(modules, np.ones((4, 4), np.uint8)))
    address = urlsplit(found.text)
    assert (address.scheme, address.netloc) == ("otpauth", "totp")
    asked = parse_qs(address.query)
    assert (asked["digits"], asked["period"], asked["algorithm"]) == (["6"], ["30"], ["SHA1"])
    return base64.b32decode(asked["secret"][0])


def set_up(client: Client) -> tuple[bytes, list[str]]:
    """Set a second factor up, and give its key and the recovery codes."""
    key = key_in(client.get(SETUP).content.decode())
    page = client.post(SETUP, {"code": code(key, time.time())}).content.decode()
    codes = re.findall(r"<li><code>([a-z2-7]{8})</code>", page)
    assert len(codes) == second_factor.RECOVERY_CODES
    return key, codes


def test_after_the_password_the_code_is_asked_for(tove: User, clock: time_machine.Coordinates) -> None:
    first = logged_in(tove)
    assert first.get("/admin/").status_code == 200, "offered, not asked for"
    key, _codes = set_up(first)
    assert first.get("/admin/").status_code == 200, "whoever has just shown the code is in"
    clock.shift(60)
    client = logged_in(tove)
    asked = client.get("/admin/guides/lot/?q=1")
    assert (asked.status_code, asked.headers["Location"]) == (302, f"{STEP}?next=%2Fadmin%2Fguides%2Flot%2F%3Fq%3D1")
    assert client.post(STEP, {"code": "000000"}).status_code == 200
    assert client.get("/admin/").status_code == 302
    clock.shift(60)
    let_in = client.post(STEP, {"code": code(key, time.time()), "next": "/admin/guides/lot/?q=1"})
    assert let_in.headers["Location"] == "/admin/guides/lot/?q=1"
    assert client.get("/admin/").status_code == 200
    again = logged_in(tove)
    assert again.post(STEP, {"code": code(key, time.time())}).status_code == 200, "each code is good once"
    assert again.get("/admin/").status_code == 302


def test_half_way_in_is_nobody_on_every_page(tove: User, clock: time_machine.Coordinates) -> None:
    row = step_picture(GuideVersionFactory().steps.first())
    picture = "/" + picture_name(row.name, row.widths[0], "webp")
    set_up(logged_in(tove))
    half = logged_in(tove)
    assert half.get(picture).status_code == 404, "a draft's picture is for staff"
    for address in ("/admin/guides/lot/", "/admin/condition/", "/admin/password_change/", "/admin/guides/user/"):
        assert half.get(address).headers["Location"].startswith(STEP)
        assert half.post(address).headers["Location"].startswith(STEP)
    assert half.get(SETUP).headers["Location"] == STEP, "nor may it make itself another"


def test_control_without_the_guard_half_way_would_be_in(
    tove: User, clock: time_machine.Coordinates, monkeypatch: pytest.MonkeyPatch
) -> None:
    set_up(logged_in(tove))
    monkeypatch.setattr(second_factor, "owes", lambda _user: False)
    assert logged_in(tove).get("/admin/").status_code == 200


def test_a_recovery_code_is_good_once(tove: User, clock: time_machine.Coordinates) -> None:
    _key, codes = set_up(logged_in(tove))
    client = logged_in(tove)
    typed = f" {codes[0][:4].upper()} {codes[0][4:]} "
    assert client.post(STEP, {"code": typed}).status_code == 302
    assert client.get("/admin/").status_code == 200
    clock.shift(60)
    assert logged_in(tove).post(STEP, {"code": typed}).status_code == 200
    assert StaticToken.objects.count() == second_factor.RECOVERY_CODES - 1


def test_guessing_codes_is_slowed_down(tove: User, clock: time_machine.Coordinates) -> None:
    key, _codes = set_up(logged_in(tove))
    clock.shift(60)
    client = logged_in(tove)
    for number in range(8):
        clock.shift(2**number)
        assert "is not right" in client.post(STEP, {"code": f"{number:06}"}).content.decode()
    clock.shift(60)
    early = client.post(STEP, {"code": code(key, time.time())})
    assert early.status_code == 200, "after eight wrong ones even the right one waits, for two minutes"
    assert "Wait a while" in early.content.decode()
    clock.shift(3600)
    assert client.post(STEP, {"code": code(key, time.time())}).status_code == 302


def test_a_site_can_ask_it_of_everybody(settings: Settings, tove: User, clock: time_machine.Coordinates) -> None:
    settings.SECOND_FACTOR_REQUIRED = True
    client = logged_in(tove)
    assert client.get("/admin/").headers["Location"].startswith(SETUP)
    key, codes = set_up(client)
    assert client.get("/admin/").status_code == 200
    clock.shift(60)
    client.post(SETUP, {"code": codes[0], "act": "off"})
    assert TOTPDevice.objects.filter(user=tove, confirmed=True).exists(), "and cannot be talked out of it"
    assert code(key, time.time()) != ""


def test_it_is_taken_off_with_a_code_only(tove: User, clock: time_machine.Coordinates) -> None:
    client = logged_in(tove)
    key, codes = set_up(client)
    clock.shift(60)
    assert client.post(SETUP, {"code": "", "act": "off"}).status_code == 200
    assert TOTPDevice.objects.count() == 1
    page = client.post(SETUP, {"code": code(key, time.time()), "act": "codes"}).content.decode()
    assert codes[0] not in page
    assert len(re.findall(r"<li><code>", page)) == second_factor.RECOVERY_CODES
    clock.shift(60)
    assert client.post(SETUP, {"code": code(key, time.time()), "act": "off"}).status_code == 302
    assert not TOTPDevice.objects.exists()
    assert [(event.by, event.reason) for event in Event.objects.filter(verb="factor_off")] == [(tove, "")]
    assert logged_in(tove).get("/admin/").status_code == 200


def test_whoever_lost_everything_is_let_in_by_command(tove: User, clock: time_machine.Coordinates, capsys: Any) -> None:
    set_up(logged_in(tove))
    for number in range(10):
        Client().post("/admin/login/", {"username": "tove", "password": f"guess {number}"})
    call_command("reset_second_factor", "tove")
    assert "has no second factor any more" in capsys.readouterr().out
    call_command("reset_second_factor", "tove")
    assert "had no second factor" in capsys.readouterr().out
    event = Event.objects.get(verb="factor_off")
    assert (event.by, event.reason) == (tove, "By command, on the server.")
    assert logged_in(tove).get("/admin/").status_code == 200
    with pytest.raises(CommandError, match=r"Nobody here is called 'tvoe'\. There are: tove"):
        call_command("reset_second_factor", "tvoe")


def test_keys_are_on_no_page_of_the_desk(tove: User) -> None:
    boss = Client()
    boss.force_login(UserFactory(is_superuser=True))
    assert boss.get("/admin/otp_totp/totpdevice/").status_code == 404
    assert boss.get("/admin/otp_static/staticdevice/").status_code == 404


def test_public_pages_ask_nothing_of_a_session(tove: User, django_assert_num_queries: Any) -> None:
    client = logged_in(tove)
    with django_assert_num_queries(0):
        assert client.get("/robots.txt").status_code == 200


def test_any_text_is_drawn_and_nothing_is_not() -> None:
    text = "otpauth://totp/Röst & kaj:tove?secret=ABC"
    symbol = qr.text_symbol(text)
    assert key_text(symbol) == text
    with pytest.raises(qr.NotEncodable):
        qr.text_symbol("")
    with pytest.raises(qr.NotEncodable):
        qr.text_symbol("x" * 2332)


def key_text(symbol: qr.Symbol) -> str:
    dark = np.pad(np.array(symbol.modules), qr.QUIET_ZONE)
    [found] = zxingcpp.read_barcodes(np.kron(np.where(dark, 0, 255).astype(np.uint8), np.ones((4, 4), np.uint8)))
    return str(found.text)
