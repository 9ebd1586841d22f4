"""The brewing page as it leaves the server: the guide's own table, what each row hangs on, every sentence."""

from __future__ import annotations

import gzip
import json
import re
from pathlib import Path
from typing import Any

import pytest

from guides.calculations.lateness import moved
from guides.calculations.plan import Action, Anchor
from guides.calculations.timeline import Events, resolve
from guides.lifecycle import recall, snapshot, withdraw
from guides.presenters import brewing, guide_sheet
from guides.queries import versions
from tests.factories import ValveVersionFactory, published

from . import world

pytestmark = pytest.mark.django_db
MOST_SCRIPT = 15_000


@pytest.fixture
def valve() -> Any:
    world.roastery()
    return versions.by_id(published(ValveVersionFactory()).pk)


def told(html: str) -> dict[str, Any]:
    found = re.search(r'<script id="brew-plan" type="application/json">(.*?)</script>', html, re.DOTALL)
    assert found is not None
    return dict(json.loads(found[1]))


def test_every_row_of_the_guide_is_on_it_in_order(client, valve):
    html = client.get(f"/en/guides/{valve.guide.slug}/brew/").content.decode()
    page = brewing.build(snapshot.read(valve), "en")
    kept = snapshot.read(valve)
    assert [row.step for row in page.rows if row.step is not None] == list(range(len(kept.plan.steps)))
    for row in page.rows:
        assert row.act in html
    sheet = guide_sheet.build(valve, language="en", today=valve.published_at.date())
    assert [row.target for row in page.rows if row.step is not None] == [step.target for step in sheet.steps]


def test_the_script_is_told_the_same_plan_in_every_language(client, valve):
    plans = [told(client.get(f"/{code}/guides/{valve.guide.slug}/brew/").content.decode()) for code in ("en", "fi")]
    assert plans[0]["id"] == plans[1]["id"]
    assert plans[0]["words"] != plans[1]["words"]
    for name in ("gate", "on", "after", "lasts", "beeps"):
        assert [row[name] for row in plans[0]["rows"]] == [row[name] for row in plans[1]["rows"]]


def test_what_rows_hang_on_gives_the_guides_own_times(valve):
    """The rule of the script, from what it is told: start, or the end of another row."""
    kept, page = snapshot.read(valve), brewing.build(snapshot.read(valve), "en")
    ends: list[float] = []
    starts: list[float] = []
    for row in page.rows:
        base = 0.0 if row.on < 0 else ends[row.on]
        starts.append(base + row.after_s)
        ends.append(base + row.after_s + row.lasts_s)
    said = {row.step: start for row, start in zip(page.rows, starts, strict=True)}
    for index, time in enumerate(kept.assessment.step_times):
        assert said[index] == pytest.approx(time.start_s, abs=0.01)


def test_valve_and_events_wait_for_a_tap(valve):
    page = brewing.build(snapshot.read(valve), "en")
    actions = {row.step: row.gate for row in page.rows if row.step is not None}
    plan = snapshot.read(valve).plan
    assert all(actions[index] for index, step in enumerate(plan.steps) if step.action in (Action.OPEN, Action.SHUT))
    assert all(row.gate for row in page.rows if row.step is None)
    assert page.rows[-1].gate


def test_lateness_over_pours_and_first_drips_have_their_sentences(valve):
    data = brewing.build(snapshot.read(valve), "en").told
    for row in data["rows"]:
        if row["kind"] in ("pour", "valve", "act"):
            assert [band["to"] for band in row["late"]] == [15, 30, 60, None]
            assert all(band["says"] for band in row["late"])
        if row["kind"] == "pour":
            assert len(row["over"]) == 8
            assert all(over["says"] for over in row["over"])
    assert [band["to"] for band in data["drip"]["bands"]] == [1, 5, 10, None]
    assert "not shut" in data["drip"]["shut"]


def test_the_shift_rule_is_the_calculations_own(valve):
    """What the script adds to rows that count from the start is what ``lateness.moved`` adds."""
    plan = snapshot.read(valve).plan
    page = brewing.build(snapshot.read(valve), "en")
    late_s, step = 20.0, next(index for index, each in enumerate(plan.steps) if each.action is Action.OPEN)
    calm = resolve(plan, lambda _: Events(80.0, 185.0)).times
    late = resolve(moved(plan, step, late_s), lambda _: Events(80.0, 185.0)).times
    for index in range(step + 1, len(plan.steps)):
        row = next(row for row in page.rows if row.step == index)
        follows = late_s if row.on < 0 else 0.0
        if plan.steps[index].anchor in (Anchor.START, Anchor.DRAINED):
            assert late[index].start_s - calm[index].start_s == pytest.approx(follows)


def test_beside_a_bag_it_keeps_lot_revision_language_and_wishes(client):
    world.roastery()
    lot, code = world.bag()
    version = world.guide_for(lot)
    number = version.guide.number
    assert f'href="/L/{code}/{number}.1.FI/brew"' in client.get(f"/L/{code}/{number}.1.FI").content.decode()
    html = client.get(f"/l/{code.lower()}/{number}.1.fi/brew?dose=20").content.decode()
    assert '<html lang="fi"' in html
    assert f'href="/L/{code}/{number}.1.SV/brew?dose=20"' in html
    assert f'href="/L/{code}/{number}.1.FI?dose=20"' in html


def test_a_plan_of_ones_own_is_brewed_at_its_own_size(client, valve):
    address = f"/en/guides/{valve.guide.slug}/"
    guide, own = (client.get(address + "brew/" + query).content.decode() for query in ("", "?dose=12"))
    assert told(guide)["id"] != told(own)["id"]
    assert "144\N{NO-BREAK SPACE}g" in own  # 12 g at the guide's 180 g to 15 g
    assert f'href="{address}brew/?dose=12"' in client.get(address + "?dose=12").content.decode()


@pytest.mark.parametrize("wish", ["dose=lots", "dose=9999", "dose=12&size=2"])
def test_a_wish_that_cannot_be_kept_is_explained_on_the_guide(client, valve, wish):
    address = f"/en/guides/{valve.guide.slug}/"
    answer = client.get(f"{address}brew/?{wish}")
    assert (answer.status_code, answer.url) == (302, f"{address}?{wish}")


def test_nobody_brews_what_was_called_back_or_withdrawn(client, valve):
    lot, code = world.bag()
    version = world.guide_for(lot)
    address = f"/L/{code}/{version.guide.number}.1.EN"
    assert client.get(address + "/brew").status_code == 200
    recall.recall(lot, by=world.boss(), reason="A screw is missing.")
    answer = client.get(address + "/brew")
    assert (answer.status_code, answer.url) == (302, address)
    withdraw.withdraw(valve, by=world.boss(), reason="Too hot.")
    answer = client.get(f"/en/guides/{valve.guide.slug}/brew/")
    assert (answer.status_code, answer.url) == (302, f"/en/guides/{valve.guide.slug}/")


@pytest.mark.parametrize("path", ["/L/7K2M9QX4/1.1.EN/brew", "/L/7K2M9QX4/x/brew", "/en/guides/none/brew/"])
def test_unknown_addresses_lead_nowhere(client, path):
    world.roastery()
    assert client.get(path).status_code == 404


def test_the_guide_page_leads_to_it_and_a_draft_does_not(client, valve):
    assert (
        f'href="/en/guides/{valve.guide.slug}/brew/"' in client.get(f"/en/guides/{valve.guide.slug}/").content.decode()
    )


def test_a_page_is_fresh_at_every_look_and_304_where_unchanged(client, valve):
    address = f"/en/guides/{valve.guide.slug}/brew/"
    answer = client.get(address)
    assert answer.headers["Cache-Control"] == "no-cache"
    assert not answer.cookies
    assert client.get(address, headers={"If-None-Match": answer.headers["ETag"]}).status_code == 304


def test_it_follows_the_simulated_brew_and_draws_every_pour_that_says_how(client, valve):
    address = f"/en/guides/{valve.guide.slug}/brew/"
    for query in ("", "?dose=12"):
        html = client.get(address + query).content.decode()
        moments = told(html)["sights"]["moments"]
        seconds = [moment[0] for moment in moments]
        assert seconds[0] == 0
        assert seconds == sorted(set(seconds))
        assert html.count('data-part="water"') == 1
    kept = snapshot.read(valve)
    says_how = [step for step in kept.plan.steps if step.action is Action.POUR and (step.path or step.height)]
    assert html.count("data-path=") == len(says_how)


def test_the_page_arrives_in_the_first_flight(client, valve):
    size = len(gzip.compress(client.get(f"/fi/guides/{valve.guide.slug}/brew/").content))
    print(f"brewing page: {size} bytes compressed")
    assert size <= 14 * 1024


def test_its_scripts_stay_within_15_kilobytes():
    scripts = b"".join(path.read_bytes() for path in sorted(Path("static/js/brewing").glob("*.js")))
    size = sum(len(gzip.compress(path.read_bytes())) for path in Path("static/js/brewing").glob("*.js"))
    print(f"brewing scripts: {size} bytes compressed file by file, {len(gzip.compress(scripts))} together")
    assert 0 < size <= MOST_SCRIPT


def test_its_scripts_know_no_formula():
    """Moments are added and compared; nothing multiplies or divides but seconds into minutes and milliseconds."""
    allowed = re.compile(r"/ 60\)|/ 1000|1000 \*|2 \* beeps|index % 2|whole % 60|0\.28 \* index")
    for path in Path("static/js/brewing").glob("*.js"):
        for line in path.read_text().splitlines():
            code = allowed.sub("", re.sub(r"//.*|/\*.*?\*/|^\s*\*.*|`[^`]*`|\"[^\"]*\"|import \* as|/%.*?/g", "", line))
            assert not re.search(r"[^/*]\s[*/%]\s", code), (path, line)
            assert "Math.exp" not in code
