"""Stored pictures and clips through our own host: who may see them, for how long, and in parts (RFC 9110, 14)."""

from __future__ import annotations

import pytest

from guides.models import Roastery, StepClip, StepPicture
from guides.models.kept_picture import picture_name
from guides.queries import versions
from tests.factories import CoffeeFactory, GuideVersionFactory, UserFactory, published
from tests.factories.shown import coffee_picture, step_clip, step_picture

from . import world

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def house(settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path
    return world.roastery()


@pytest.fixture
def draft_step():
    return GuideVersionFactory().steps.first()


@pytest.fixture
def clip() -> StepClip:
    version = GuideVersionFactory()
    row = step_clip(version.steps.first())
    published(versions.by_id(version.pk))
    return row


def address(row, form="webp") -> str:
    return "/" + picture_name(row.name, row.widths[0], form)


def body(response) -> bytes:
    return b"".join(response.streaming_content) if response.streaming else response.content


def test_a_published_picture_is_kept_by_caches_for_good_and_may_be_shown_elsewhere(client):
    row = coffee_picture(CoffeeFactory())
    response = client.get(address(row), headers={"accept-encoding": "gzip"})
    assert response.status_code == 200
    assert response["Content-Type"] == "image/webp"
    assert response["Cache-Control"] == "public, max-age=31536000, immutable"
    assert response["Cross-Origin-Resource-Policy"] == "cross-origin"
    assert response["X-Content-Type-Options"] == "nosniff"
    assert "Content-Encoding" not in response
    assert "Set-Cookie" not in response
    assert body(response)[8:12] == b"WEBP"
    again = client.get(address(row), headers={"if-none-match": response["ETag"]})
    assert again.status_code == 304


def test_a_drafts_picture_is_for_staff_alone(client, draft_step):
    row = step_picture(draft_step)
    assert client.get(address(row)).status_code == 404
    client.force_login(UserFactory(role="roaster"))
    seen = client.get(address(row))
    assert seen.status_code == 200
    assert seen["Cache-Control"] == "private, no-store"
    assert seen["Cross-Origin-Resource-Policy"] == "same-origin"


def test_the_drafts_picture_is_public_once_it_is_published(client, draft_step):
    row = step_picture(draft_step)
    published(versions.by_id(draft_step.version_id))
    assert client.get(address(row)).status_code == 200


def test_the_logo_is_public(client, house):
    from guides.media.keep import keep_drawn
    from tests.factories.shown import drawn

    kept = keep_drawn(drawn(seed=33))
    name = picture_name(kept.name, kept.widths[0], "webp")
    assert client.get(f"/{name}").status_code == 404
    Roastery.objects.update(logo=name)
    assert client.get(f"/{name}").status_code == 200


@pytest.mark.parametrize(
    "name",
    [
        "../db.sqlite3",
        "pictures/../../db.sqlite3",
        "pictures/%2e%2e/x.jpg",
        "pictures/" + "0" * 32 + "-480.svg",
        "pictures/" + "0" * 32 + "-480.webp",
        "clips/" + "0" * 32 + ".mp4",
        "clips/" + "0" * 32 + ".html",
        "share/x.png",
        "pictures/",
        "roastery/logo.png",
    ],
)
def test_nothing_else_is_served(client, name):
    client.force_login(UserFactory(role="publisher"))
    assert client.get(f"/{name}").status_code == 404


PARTS: list[tuple[str, int, int | None]] = [
    ("bytes=0-9", 0, 10),
    ("bytes=10-", 10, None),
    ("bytes=-16", -16, None),
    ("bytes=5-99999999", 5, None),
    ("bytes=0-0", 0, 1),
]


@pytest.mark.parametrize(("asked", "start", "stop"), PARTS)
def test_a_player_gets_the_part_it_asks_for(client, clip, asked, start, stop):
    whole = body(client.get(f"/{clip.file}"))
    assert len(whole) == clip.size
    part = client.get(f"/{clip.file}", headers={"range": asked})
    assert part.status_code == 206
    assert body(part) == whole[start:stop]
    first = start % len(whole)
    last = first + len(whole[start:stop]) - 1
    assert part["Content-Range"] == f"bytes {first}-{last}/{len(whole)}"
    assert part["Content-Length"] == str(len(whole[start:stop]))
    assert part["Accept-Ranges"] == "bytes"


def test_a_part_beyond_the_end_is_refused_and_strange_wishes_get_all(client, clip):
    beyond = client.get(f"/{clip.file}", headers={"range": f"bytes={clip.size}-"})
    assert beyond.status_code == 416
    assert beyond["Content-Range"] == f"bytes */{clip.size}"
    assert client.get(f"/{clip.file}", headers={"range": "bytes=-0"}).status_code == 416
    for strange in ("bytes=", "bytes=-", "lines=1-2", "bytes=1-2,5-6", "bytes=a-b"):
        assert client.get(f"/{clip.file}", headers={"range": strange}).status_code == 200
    other = client.get(f"/{clip.file}", headers={"range": "bytes=0-3", "if-range": '"other"'})
    assert other.status_code == 200
    head = client.head(f"/{clip.file}", headers={"range": "bytes=0-3"})
    assert (head.status_code, head["Content-Length"], body(head)) == (206, "4", b"")


def test_captions_come_as_captions(client, clip):
    response = client.get(f"/{clip.captions['en']}")
    assert response["Content-Type"].startswith("text/vtt")
    assert body(response).startswith(b"WEBVTT")


def test_the_page_shows_them_with_size_and_words_and_loads_nothing_early(client):
    version = GuideVersionFactory()
    first, second = version.steps.all()[:2]
    step_picture(first, en="A wet bed.")
    step_clip(second)
    coffee_picture(version.guide.coffee, en="The bag.", fi="Pussi.")
    published(versions.by_id(version.pk))
    html = client.get(f"/fi/guides/{version.guide.slug}/").content.decode()
    assert html.count('loading="lazy"') == html.count("<img ") == 3
    assert 'width="640" height="420" alt="A wet bed." lang="en"' in html
    assert 'alt="Pussi."' in html
    outside = html.split("<template>")[0] + html.split("</template>")[1]
    assert "<video" not in outside
    assert 'kind="captions"' in html
    assert StepPicture.objects.count() == 1
    assert "Pussi." in client.get(f"/fi/coffees/{version.guide.coffee.slug}/").content.decode()
