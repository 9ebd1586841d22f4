"""The public pages as files: everything leads somewhere, nothing that cannot work, nothing that is not shown."""

from __future__ import annotations

import hashlib
import re
from html.parser import HTMLParser
from pathlib import Path
from urllib.parse import unquote, urlsplit

import pytest
from django.conf import settings
from django.core.management import CommandError, call_command
from django.db import transaction

from guides.lifecycle import opens
from guides.lifecycle.recall import recall
from guides.models import GuideOpens
from tests.browser import Tab
from tests.factories import GuideFactory, GuideVersionFactory
from tests.public import world

pytestmark = pytest.mark.django_db  # asks for the tables, for the fixture of the module too
LANGUAGES = ("en", "sv", "fi")


class Found(HTMLParser):
    """Every address on a page, and the tags."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.links: list[str] = []
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.feed(html)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = dict(attrs)
        self.tags.append((tag, given))
        if not (tag == "link" and given.get("rel") in ("canonical", "alternate")):
            self.links += [value for name in ("href", "src", "poster") if (value := given.get(name))]
            self.links += [part.split()[0] for part in (given.get("srcset") or "").split(",") if part.strip()]


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory, django_db_setup: None, django_db_blocker) -> dict:
    """A small shop exported once: a bag with a guide of two revisions, a recalled one, and one that is not shown."""
    folder = tmp_path_factory.mktemp("site") / "public"
    with django_db_blocker.unblock(), transaction.atomic():
        world.roastery()
        shown, code = world.bag()
        first = world.guide_for(shown)
        second = world.next_revision(first, change_note="A little coarser.")
        recalled, recalled_code = world.bag()
        world.guide_for(recalled)
        recall(recalled, by=world.boss(), reason="A screw is missing from the cooling tray.")
        hidden, hidden_code = world.bag(is_public=False)
        secret = GuideVersionFactory(guide=GuideFactory(coffee=hidden.coffee), title="Nobody has seen this")
        call_command("export_site", "--to", folder)
        told = {
            "folder": folder, "code": code, "recalled": recalled_code, "hidden": hidden_code, "guide": first.guide,
            "revisions": [first.revision, second.revision], "secret": secret.title,
            "pages": {path: path.read_text() for path in folder.rglob("*.html")},
        }  # fmt: skip
        transaction.set_rollback(True)
    return told


def test_every_link_leads_to_a_file_or_to_the_site_itself(site) -> None:
    dead, links = [], 0
    for page, html in site["pages"].items():
        for link in Found(html).links:
            links += 1
            parts = urlsplit(link)
            if parts.scheme or parts.netloc:
                if not link.startswith((settings.PUBLIC_BASE_URL, "data:")):
                    dead.append((page, link))
            elif parts.path:
                target = page.parent / unquote(parts.path)
                if parts.path.startswith("/") or not target.is_file():
                    dead.append((page, link))
    print(f"{len(site['pages'])} pages, {links} links: {len(dead)} dead")
    assert dead == []


def test_no_form_and_no_script_is_left(site) -> None:
    for page, html in site["pages"].items():
        tags = Found(html).tags
        assert not [tag for tag, _given in tags if tag in ("form", "input", "textarea")], page
        assert not [tag for tag, given in tags if tag == "script" and given.get("type") != "application/ld+json"], page


def test_every_code_edition_and_language_has_its_page(site) -> None:
    bag = site["folder"] / "L" / site["code"]
    number = site["guide"].number
    for language in LANGUAGES:
        assert f'lang="{language}"' in (bag / f"in-{language}" / "index.html").read_text()
        for revision in site["revisions"]:
            page = (bag / f"{number}.{revision}.{language.upper()}" / "index.html").read_text()
            assert f'<html lang="{language}"' in page
        assert (site["folder"] / language / "guides" / site["guide"].slug / "index.html").is_file()
    old = (bag / f"{number}.{site['revisions'][0]}.EN" / "index.html").read_text()
    assert "A little coarser." in old


def test_a_recalled_bag_says_so_and_every_bag_that_later_ones_are_missing(site) -> None:
    page = (site["folder"] / "L" / site["recalled"] / "index.html").read_text()
    assert "A screw is missing from the cooling tray." in page
    assert "Don't drink it" in page.replace("&#x27;", "'")
    assert "A recall after that day is not on it." in page
    live = f'href="{settings.PUBLIC_BASE_URL}/L/{site["recalled"]}"'
    assert live in page


def test_nothing_is_told_that_the_site_does_not_show(site) -> None:
    assert not [page for page, html in site["pages"].items() if site["secret"] in html]
    assert (site["folder"] / "L" / site["hidden"] / "index.html").is_file()
    listed = [page for page, html in site["pages"].items() if site["code"] in html and "L" not in page.parts[-4:-1]]
    assert [page for page in listed if f"/L/{site['code']}" not in str(page)] == []


def test_files_are_named_after_their_content(site) -> None:
    files = list((site["folder"] / "assets").iterdir())
    assert {".woff2", ".svg"} <= {file.suffix for file in files}
    for file in files:
        assert hashlib.sha256(file.read_bytes()).hexdigest()[:12] in file.name
    styles = [found for html in site["pages"].values() for found in re.findall(r"url\(([^)]+)\)", html)]
    assert styles
    assert not [address for address in styles if address.startswith("/")]


def test_looks_of_the_export_are_not_counted(tmp_path: Path) -> None:
    world.roastery()
    lot, _code = world.bag()
    world.guide_for(lot)
    opens._tally.take()  # what tests before counted in this process
    call_command("export_site", "--to", tmp_path / "public")
    opens.add()
    assert not GuideOpens.objects.exists()


def test_a_folder_with_something_in_it_is_left_alone(tmp_path: Path) -> None:
    (tmp_path / "mine.txt").write_text("mine")
    with pytest.raises(CommandError, match="not empty"):
        call_command("export_site", "--to", tmp_path)
    with pytest.raises(CommandError, match="cannot be written"):
        call_command("export_site", "--to", tmp_path / "no" / "where")
    assert [path.name for path in tmp_path.iterdir()] == ["mine.txt"]


@pytest.mark.browser
def test_it_works_from_a_folder_in_a_browser(site, browser) -> None:
    tab = Tab(browser.new_context(viewport={"width": 360, "height": 800}).new_page(), site["folder"].as_uri())
    tab.go("/index.html")
    tab.page.wait_for_url("**/en/index.html")
    tab.page.click("main a[href*='guides/']")
    tab.page.wait_for_url("**/guides/**/index.html")
    assert tab.page.evaluate("getComputedStyle(document.body).fontFamily").startswith("Hyperlegible")
    assert tab.page.evaluate("document.fonts.ready.then(() => [...document.fonts].some((a) => a.status === 'loaded'))")
    assert tab.overflow() <= 0
    assert (tab.errors, tab.strangers) == ([], [])
    tab.page.click("nav a[lang=sv]")
    tab.page.wait_for_url("**/sv/guides/**/index.html")
    assert tab.axe() == []
    tab.page.context.close()
