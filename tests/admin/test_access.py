"""Tokens and webhooks at the desk: a secret is shown once, and can be taken back at any time."""

from __future__ import annotations

import re

import pytest

from guides.lifecycle import tokens
from guides.models import ApiToken, JobRun, Webhook
from tests.factories.programs import issued, told

from .addresses import act, add, change

pytestmark = pytest.mark.django_db


def secret_on(answer) -> str:
    return re.search(r'id="secret"[^>]*value="([^"]*)"', answer.content.decode())[1]


def test_a_token_is_shown_once_and_opens_the_door(at_desk, client):
    desk = at_desk(role="publisher")
    answer = desk.post(add(ApiToken), {"name": "web shop", "scopes": ["webhooks"]})
    text = secret_on(answer)
    assert "no-store" in answer.headers["Cache-Control"]
    token = ApiToken.objects.get()
    assert tokens.found(text) == token
    assert token.scopes == ["webhooks"]
    for page in (change(token), "/admin/guides/apitoken/?still=yes"):
        shown = desk.get(page).content.decode()
        assert text not in shown
        assert "web shop" in shown
    assert token.start in desk.get(change(token)).content.decode()
    assert client.get("/api/v1/webhooks", headers={"Authorization": f"Bearer {text}"}).status_code == 200
    assert desk.post(act(token, "revoke"), {}).status_code == 302
    assert client.get("/api/v1/webhooks", headers={"Authorization": f"Bearer {text}"}).status_code == 401
    assert "web shop" not in desk.get("/admin/guides/apitoken/?still=yes").content.decode()
    assert "revoked" in desk.post(act(token, "revoke"), {}).content.decode()


def test_a_token_without_a_name_or_for_something_else_is_refused(at_desk):
    desk = at_desk(role="publisher")
    assert "Who uses it" in desk.post(add(ApiToken), {"name": " ", "scopes": []}).content.decode()
    assert desk.post(add(ApiToken), {"name": "shop", "scopes": ["drafts"]}).status_code == 200
    assert not ApiToken.objects.exists()


def test_the_shop_says_where_it_is_told(at_desk):
    desk = at_desk(role="shop")
    typed = {"url": "http://10.0.0.7/hooks", "about": ["lot.recalled"]}
    refused = desk.post(add(Webhook), typed)
    assert "private network" in refused.content.decode()
    assert 'value="http://10.0.0.7/hooks"' in refused.content.decode(), "what was typed stays"
    answer = desk.post(add(Webhook), {**typed, "url": "https://shop.example/hooks"})
    webhook = Webhook.objects.get()
    assert secret_on(answer) == webhook.secret
    run = JobRun.objects.create(kind="send_webhook", arguments={"webhook_id": webhook.pk}, error="It answered 500.")
    shown = desk.get(change(webhook)).content.decode()
    assert webhook.secret not in shown
    assert run.error in shown
    assert desk.post(act(webhook, "try"), {}).status_code == 302
    tried = {"kind": "try_webhook", "arguments": {"webhook_id": webhook.pk}}
    for outcome in ({"sent": True, "status": 200}, {"sent": False, "why": "It answered 410."}):
        JobRun.objects.create(**tried, result=outcome)
    shown = desk.get(change(webhook)).content.decode()
    assert "test, taken" in shown
    assert "test, not taken" in shown
    assert "It answered 410." in shown
    assert desk.post(act(webhook, "end"), {}).status_code == 302
    webhook.refresh_from_db()
    assert webhook.is_ended


def test_nobody_changes_or_deletes_them(at_desk, publisher):
    desk = at_desk(publisher)
    for row in (issued()[0], told()):
        assert desk.post(change(row), {"name": "x", "url": "https://x.example"}).status_code == 403
        assert desk.post(change(row).replace("change", "delete"), {"post": "yes"}).status_code == 403
