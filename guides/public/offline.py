"""What a phone keeps for when there is no network: the worker that does it, and the card that adds the site to a home
screen.
"""

from __future__ import annotations

import hashlib
import json
from functools import lru_cache
from pathlib import Path
from typing import Any, Final

from django.conf import settings
from django.contrib.staticfiles import finders
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.templatetags.static import static
from django.utils.translation import gettext, override
from django.views.decorators.http import require_safe

from guides.presenters import contrast
from guides.queries import house

MOST_PAGES: Final = 40
_FOLDERS: Final = ("js/brewing", "js/offline")
_FILES: Final = (
    "css/brewing.css",
    "icons/icon.svg",
    "fonts/atkinson-hyperlegible-next-400.woff2",
    "fonts/atkinson-hyperlegible-next-700.woff2",
    "fonts/atkinson-hyperlegible-mono-400.woff2",
    "fonts/atkinson-hyperlegible-mono-700.woff2",
)
_ICONS: Final = (192, 512)


@require_safe
def worker(request: HttpRequest) -> HttpResponse:
    """Give the service worker, or what takes it off every phone again where the site is set so."""
    name = "worker" if settings.OFFLINE else "withdrawn"
    script = _source(f"js/offline/{name}.js")
    if settings.OFFLINE:
        script = f"self.offline = {json.dumps(_told(), ensure_ascii=False)};\n{script}"
    response = HttpResponse(script, content_type="text/javascript; charset=utf-8")
    response.headers["Cache-Control"] = "no-cache"
    return response


@require_safe
def manifest(request: HttpRequest) -> JsonResponse:
    """Give name, icons and colours for a home screen (W3C Web Application Manifest)."""
    name = house.current().name
    card = {
        "name": name,
        "short_name": name[:24],
        "id": "/",
        "start_url": "/",
        "scope": "/",
        "display": "minimal-ui",
        "background_color": contrast.PAPER,
        "theme_color": contrast.PAPER,
        "icons": [
            {"src": static(f"icons/icon-{side}.png"), "sizes": f"{side}x{side}", "type": "image/png", "purpose": use}
            for side in _ICONS
            for use in ("any", "maskable")
        ],
    }
    response = JsonResponse(card, content_type="application/manifest+json")
    response.headers["Cache-Control"] = "public, max-age=3600"
    return response


def _told() -> dict[str, Any]:
    """What the worker is told; ``version`` changes with any file or word, so that an older worker makes way."""
    languages = house.current().languages
    spoken = "|".join(languages)
    told: dict[str, Any] = {
        "files": _files(),
        "kept": [
            r"^/[Ll]/[^/]+(/[^/]+(/brew)?)?/?$",
            rf"^/({spoken})/((coffees|guides)/[^/]+/(brew/)?)?$",
        ],
        "most": MOST_PAGES,
        "words": {"files": settings.STATIC_URL, "copy": {}, "missing": {}},
    }
    for code in languages:
        with override(code):
            told["words"]["copy"][code] = gettext(
                "No network. This is a copy from %(ago)s; what has changed or was called back since is not on it."
            )
            told["words"]["missing"][code] = gettext("No network, and this page is not kept on this phone.")
    text = json.dumps(told, sort_keys=True) + _source("js/offline/worker.js")
    return {**told, "version": hashlib.sha256(text.encode()).hexdigest()[:12]}


@lru_cache(maxsize=1)
def _files() -> list[str]:
    found = []
    for folder in _FOLDERS:
        for path in sorted(Path(str(finders.find(folder))).glob("*.js")):
            if path.name not in ("worker.js", "withdrawn.js"):
                found.append(static(f"{folder}/{path.name}"))
    return [*found, *(static(name) for name in _FILES)]


def _source(name: str) -> str:
    return Path(str(finders.find(name))).read_text(encoding="utf-8")
