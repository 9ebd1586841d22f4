"""Programs that were let in, and those that are told things."""

from __future__ import annotations

from guides.lifecycle import tokens, webhooks
from guides.models import ApiToken, Webhook

from .people import UserFactory


def issued(*scopes: str, name: str = "web shop") -> tuple[ApiToken, str]:
    """A token and the text that opens the door."""
    token = ApiToken(name=name, scopes=list(scopes))
    return token, tokens.issue(token, by=UserFactory(role="publisher"))


def told(url: str = "https://shop.example/hooks", *about: str) -> Webhook:
    """A webhook."""
    webhook = Webhook(url=url, about=list(about) or ["guide.published", "guide.withdrawn", "lot.recalled"])
    webhooks.add(webhook, by=UserFactory(role="shop"))
    return webhook
