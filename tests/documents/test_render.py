"""The PDF engine reaches no network and no file but our own style sheets and letters, whatever a document asks for."""

import sys
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from functools import cache
from http.server import BaseHTTPRequestHandler, HTTPServer
from pathlib import Path

import pytest

from guides.documents.formats import INSERT_A6
from guides.documents.render import ASSETS, Draft, EngineFailed, FetchRefused

RULES = "@page{size:105mm 148mm}:root{--front-type:9pt;--back-type:9pt}"

NS = 'xmlns="http://www.w3.org/2000/svg"'
# Ways a document may ask for something. WEB stands for an address on a network, DISK for a file of the machine.
VECTORS = {
    "picture from the web": '<img src="WEB/a.png" alt="a">',
    "picture from disk": '<img src="DISK/a.png" alt="a">',
    "style sheet from the web": '<link rel="stylesheet" href="WEB/a.css">',
    "style sheet from disk": '<link rel="stylesheet" href="DISK/a.css">',
    "import from the web": "<style>@import url(WEB/b.css);</style>",
    "import from disk": "<style>@import url(DISK/a.css);</style>",
    "background from the web": "<style>body{background:url(WEB/c.png)}</style>",
    "background from disk": "<style>body{background:url(DISK/a.png)}</style>",
    "background of an element": "<p style=\"background-image:url('WEB/d.png')\">a</p>",
    "letters from the web": "<style>@font-face{font-family:x;src:url(WEB/a.woff2)}p{font-family:x}</style><p>a</p>",
    "letters from disk": "<style>@font-face{font-family:x;src:url(DISK/a.ttf)}p{font-family:x}</style><p>a</p>",
    "bullet": "<style>li{list-style-image:url(WEB/e.png)}</style><ul><li>a</li></ul>",
    "generated content": '<style>p::before{content:url("WEB/f.png")}</style><p>a</p>',
    "picture in a drawing, web": f'<svg {NS}><image href="WEB/g.png" width="9" height="9"/></svg>',
    "picture in a drawing, disk": f'<svg {NS}><image href="DISK/a.png" width="9" height="9"/></svg>',
    "border": "<p style=\"border:3mm solid;border-image:url('WEB/l.png') 3\">a</p>",
    "mask of a border": "<p style=\"border:3mm solid;mask-border:url('WEB/h.png') 3\">a</p>",
    "embedded object": '<object data="WEB/i.svg" type="image/svg+xml">a</object>',
    "embed": '<embed src="WEB/j.png" type="image/png">',
    "attachment": '<link rel="attachment" href="DISK/secret.txt">',
    "drawing in the address": "<img alt='a' src='data:image/svg+xml,<svg xmlns=\"http://www.w3.org/2000/svg\">"
    '<image href="WEB/k.png" width="9" height="9"/></svg>\'>',
}
# Left aside, because the engine itself never follows them: frames, scripts, links, forms, pictures' srcset.


@dataclass
class Watch:
    """What the process did: connections opened, and files opened under the folder of secrets."""

    folder: str = "/nowhere"
    connections: list[str] = field(default_factory=list)
    files: list[str] = field(default_factory=list)
    on: bool = False

    def __call__(self, event: str, arguments: tuple[object, ...]) -> None:
        if not self.on:
            return
        if event == "socket.connect":
            self.connections.append(str(arguments[1]))
        elif event == "open" and str(arguments[0]).startswith(self.folder):
            self.files.append(str(arguments[0]))


@cache
def _watch() -> Watch:
    # An audit hook stays for good; it sees what no patch of a module could.
    watch = Watch()
    sys.addaudithook(watch)
    return watch


@contextmanager
def watching(folder: Path) -> Iterator[Watch]:
    watch = _watch()
    watch.folder, watch.connections, watch.files, watch.on = str(folder), [], [], True
    try:
        yield watch
    finally:
        watch.on = False


@pytest.fixture
def web() -> Iterator[str]:
    """A server that answers everything with nothing."""

    class Nothing(BaseHTTPRequestHandler):
        def do_GET(self) -> None:
            self.send_response(404)
            self.end_headers()

        def log_message(self, *_arguments: object) -> None:
            pass

    server = HTTPServer(("127.0.0.1", 0), Nothing)
    thread = threading.Thread(target=server.serve_forever, daemon=True)
    thread.start()
    yield f"http://127.0.0.1:{server.server_port}"
    server.shutdown()
    server.server_close()
    thread.join()


@pytest.fixture
def disk(tmp_path: Path) -> Path:
    """A folder with files that no document may read."""
    for name in ("a.png", "a.css", "a.ttf", "secret.txt"):
        (tmp_path / name).write_bytes(b"secret")
    return tmp_path


def document(vector: str, web: str, disk: Path) -> str:
    body = VECTORS[vector].replace("WEB", web).replace("DISK", disk.as_uri())
    return f'<html lang="en"><head><title>t</title></head><body><p>Words</p>{body}</body></html>'


def test_there_are_as_many_ways_as_the_design_asks_for():
    assert len(VECTORS) == 21


@pytest.mark.parametrize("vector", VECTORS)
def test_what_is_not_ours_is_refused_and_counted(vector, web, disk):
    with watching(disk) as watch, pytest.raises(FetchRefused) as refusal:
        Draft(document(vector, web, disk), INSERT_A6.sheets).lay_out(RULES).pdf()
    assert watch.connections == []
    assert watch.files == []
    assert len(refusal.value.addresses) >= 1


def test_negative_control_the_engine_alone_would_have_gone(web, disk):
    """Most of these ways lead out where nothing guards them; else the test above would prove nothing."""
    import weasyprint

    gone_out = read = 0
    for vector in VECTORS:
        with watching(disk) as watch:
            weasyprint.HTML(string=document(vector, web, disk)).write_pdf()
        gone_out += bool(watch.connections)
        read += bool(watch.files)
    print(f"unguarded: {gone_out} of {len(VECTORS)} ways opened a connection, {read} read a local file")
    assert gone_out >= 10
    assert read >= 5


@pytest.mark.parametrize(
    "address",
    [
        "../settings.py",
        "css/../../roastery/settings.py",
        "css/%2e%2e/%2e%2e/settings.py",
        "js/app.js",
        "css/none.css",
        "fonts/OFL.txt",
        "//elsewhere.invalid/css/tokens.css",
        "https://assets.invalid.elsewhere/static/css/tokens.css",
        "file:///etc/hostname",
        "data:text/css,p{}",
    ],
)
def test_only_style_sheets_and_letters_of_ours_are_given(address):
    with pytest.raises(FetchRefused):
        Draft(f'<html lang="en"><link rel="stylesheet" href="{address}"><body><p>a</p></body></html>', []).lay_out()


def test_a_drawing_that_the_engine_loses_fails_the_document():
    # It gives this up without asking for anything, and would go on without the drawing.
    drawing = f"<svg {NS}><style>@import url(http://127.0.0.1:9/a.css);</style><rect width='9' height='9'/></svg>"
    with pytest.raises(EngineFailed, match="SVG"):
        Draft(f'<html lang="en"><body>{drawing}</body></html>', []).lay_out().pdf()


def test_our_own_style_sheet_and_letters_are_given():
    html = f'<html lang="en"><link rel="stylesheet" href="{ASSETS}css/tokens.css"><body><p>a</p></body></html>'
    assert Draft(html, []).lay_out("p{font-family:Hyperlegible}").pdf().startswith(b"%PDF")
