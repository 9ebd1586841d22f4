"""Pictures, clips and captions from the store, through our own host; in parts where a player asks for parts."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import IO, Final

from django.core.files.storage import default_storage
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseBase, StreamingHttpResponse
from django.utils.cache import get_conditional_response
from django.utils.http import quote_etag
from django.views.decorators.http import require_safe

from guides.queries import media

_NAME: Final = re.compile(
    r"(?:pictures/([0-9a-f]{32})-\d{1,4}\.(webp|jpg)"
    r"|clips/([0-9a-f]{32})(?:-[0-9a-f]{12}\.[a-z-]{2,8})?\.(mp4|webm|vtt))"
)
_TYPES: Final = {
    "webp": "image/webp",
    "jpg": "image/jpeg",
    "mp4": "video/mp4",
    "webm": "video/webm",
    "vtt": "text/vtt; charset=utf-8",
}
_RANGE: Final = re.compile(r"bytes=(\d*)-(\d*)")
_CHUNK: Final = 64 * 1024
FOREVER: Final = "public, max-age=31536000, immutable"
"""A name is made from its content, so that what it leads to never changes."""


@require_safe
def stored(request: HttpRequest, name: str) -> HttpResponseBase:
    """Answer with a file that belongs to something published; staff see those of drafts too."""
    match = _NAME.fullmatch(name)
    if match is None:
        raise Http404
    public = media.is_public(match[1] or match[3])
    if not (public or _is_staff(request)) or not default_storage.exists(name):
        raise Http404
    # What is packed already gains nothing from packing, and a part of a file must be sent as it lies.
    request.META["HTTP_ACCEPT_ENCODING"] = "identity"
    etag = quote_etag(name.rpartition("/")[2])
    answer = get_conditional_response(request, etag=etag) or _whole_or_part(request, name, etag)
    answer.headers["ETag"] = etag
    answer.headers["Accept-Ranges"] = "bytes"
    answer.headers["Cache-Control"] = FOREVER if public else "private, no-store"
    answer.headers["Cross-Origin-Resource-Policy"] = "cross-origin" if public else "same-origin"
    answer.headers["Content-Security-Policy"] = "default-src 'none'; sandbox"
    return answer


def _is_staff(request: HttpRequest) -> bool:
    return bool(request.user.is_authenticated and request.user.is_staff)


def _whole_or_part(request: HttpRequest, name: str, etag: str) -> HttpResponseBase:
    kind = _TYPES[name.rpartition(".")[2]]
    size = default_storage.size(name)
    asked = request.headers.get("Range", "")
    wanted = _RANGE.fullmatch(asked) if request.headers.get("If-Range", etag) == etag else None
    if wanted is None or wanted.groups() == ("", ""):  # several parts, or none that we know: all of it
        return _streamed(request, name, kind, 0, size, 200)
    start, end = _span(wanted[1], wanted[2], size)
    if start >= size or start > end:
        response = HttpResponse(status=416)
        response.headers["Content-Range"] = f"bytes */{size}"
        return response
    part = _streamed(request, name, kind, start, end + 1, 206)
    part.headers["Content-Range"] = f"bytes {start}-{end}/{size}"
    return part


def _span(first: str, last: str, size: int) -> tuple[int, int]:
    """First and last byte asked for (RFC 9110, 14.1.2); without a first one, so many from the end."""
    if not first:
        return max(size - int(last), 0) if int(last) else size, size - 1
    return int(first), min(int(last), size - 1) if last else size - 1


def _streamed(request: HttpRequest, name: str, kind: str, start: int, stop: int, status: int) -> HttpResponseBase:
    if request.method == "HEAD":
        response: HttpResponseBase = HttpResponse(status=status, content_type=kind)
    else:
        response = StreamingHttpResponse(_chunks(name, start, stop), status=status, content_type=kind)
    response.headers["Content-Length"] = str(stop - start)
    return response


def _chunks(name: str, start: int, stop: int) -> Iterator[bytes]:
    file: IO[bytes]
    with default_storage.open(name, "rb") as file:
        file.seek(start)
        left = stop - start
        while left > 0 and (chunk := file.read(min(_CHUNK, left))):
            left -= len(chunk)
            yield chunk
