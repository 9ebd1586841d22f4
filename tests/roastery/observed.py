"""The published scoring of response headers of the HTTP Observatory, without a network.

Source: Mozilla's documentation "HTTP Observatory: Tests & Scoring", from memory. A site starts at 100; what is missing
or weak takes points off; what goes beyond gives some, counted only from 90 upward. A+ is 100 or more, A 90, B 70, C 50,
D 30, F less. Left out is what headers do not tell: whether a browser's list has the site, and scripts of other sites
(the content policy admits none).
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

_PRIVATE: Final = {"no-referrer", "same-origin", "strict-origin", "strict-origin-when-cross-origin"}
_HALF_A_YEAR_S: Final = 15_768_000
_GRADES: Final = ((100, "A+"), (90, "A"), (70, "B"), (50, "C"), (30, "D"), (0, "F"))

Headers = Mapping[str, str]
"""Names in lower case."""


def points(headers: Headers, *, cookies: tuple[str, ...] = (), page: bool = True) -> dict[str, int]:
    """Give what each header adds or takes off; a ``page`` is what can be framed and runs scripts."""
    found = {
        "strict-transport-security": _transport(headers.get("strict-transport-security", "")),
        "x-content-type-options": 0 if headers.get("x-content-type-options") == "nosniff" else -5,
        "referrer-policy": _referrer(headers.get("referrer-policy", "")),
        "cross-origin-resource-policy": _resources(headers.get("cross-origin-resource-policy", "")),
        "access-control-allow-origin": -50 if _shared_with_all(headers) else 0,
        "set-cookie": min(map(_cookie, cookies), default=0),
    }
    if page:
        policy = _policy(headers.get("content-security-policy", ""))
        found["content-security-policy"] = _content(policy)
        found["x-frame-options"] = _framing(policy, headers.get("x-frame-options", ""))
    return found


def grade(found: Mapping[str, int]) -> tuple[int, str]:
    """Give score and grade."""
    score = 100 + sum(value for value in found.values() if value < 0)
    if score >= 90:
        score += sum(value for value in found.values() if value > 0)
    score = max(score, 0)
    return score, next(name for least, name in _GRADES if score >= least)


def _policy(text: str) -> dict[str, set[str]]:
    parts = (part.split() for part in text.split(";") if part.strip())
    return {name.lower(): set(values) for name, *values in parts}


def _content(policy: dict[str, set[str]]) -> int:
    if not policy:
        return -25
    fallback = policy.get("default-src", {"*"})
    scripts, styles = policy.get("script-src", fallback), policy.get("style-src", fallback)
    plugins = policy.get("object-src", fallback)
    if scripts & {"'unsafe-inline'", "data:", "*", "http:", "https:"} or plugins & {"*", "data:", "http:", "https:"}:
        return -20
    if scripts & {"'unsafe-eval'"}:
        return -10
    if styles & {"'unsafe-inline'", "data:", "*", "http:", "https:"}:
        return 0
    return 10 if fallback == {"'none'"} else 5


def _framing(policy: dict[str, set[str]], old: str) -> int:
    if "frame-ancestors" in policy and not policy["frame-ancestors"] & {"*", "http:", "https:"}:
        return 5
    return 0 if old.upper() in ("DENY", "SAMEORIGIN") else -20


def _transport(text: str) -> int:
    ages = [part.strip().removeprefix("max-age=") for part in text.split(";") if part.strip().startswith("max-age=")]
    if not ages:
        return -20
    return 0 if int(ages[0]) >= _HALF_A_YEAR_S else -10


def _referrer(text: str) -> int:
    if not text:
        return 0
    return 5 if set(text.replace(" ", "").split(",")) <= _PRIVATE else -5


def _resources(text: str) -> int:
    return 10 if text in ("same-origin", "same-site") else 0


def _shared_with_all(headers: Headers) -> bool:
    """Everybody may read it, with whoever asks logged in."""
    return "access-control-allow-credentials" in headers and "access-control-allow-origin" in headers


def _cookie(text: str) -> int:
    attributes = {part.strip().lower() for part in text.split(";")[1:]}
    if "secure" not in attributes:
        return -40
    if "httponly" not in attributes:
        return -30
    return 5 if any(attribute.startswith("samesite=") for attribute in attributes) else 0
