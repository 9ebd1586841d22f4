"""The dial-in bench: planning, comparing and learning, at a cost that does not grow with the brews."""

from __future__ import annotations

import datetime
import re
import time
from urllib.parse import parse_qs, urlsplit

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from guides.calculations import drawdown
from guides.calculations.drawdown import simulate
from guides.lifecycle import brewed_plan, trials
from guides.lifecycle.from_trial import open_from_trial
from guides.lifecycle.plan_of import plan_of
from guides.models import GuideVersion, Roastery, TrialBrew
from guides.presenters import bench_sheet
from guides.queries import benches
from tests.factories import LotFactory, TrialBrewFactory, ValveVersionFactory, published, shown

from .addresses import act, change

pytestmark = pytest.mark.django_db
MOST_QUERIES = 12
BENCH, COMPARE, PLAN, BREW = (f"/admin/guides/trialbrew/{name}/" for name in ("bench", "compare", "plan", "brew"))


@pytest.fixture
def version() -> GuideVersion:
    return GuideVersion.objects.get(pk=published().pk)


def brewed(version: GuideVersion, count: int) -> list[TrialBrew]:
    lots = [LotFactory(coffee=version.guide.coffee) for _ in range(4)]
    rows = [
        TrialBrewFactory.build(
            of=version, lot=lots[number % 4], brewed_by=version.created_by, brewer=version.brewer,
            drained_s=195 + number % 20, cup_g="230", strength_percent="1.45", sample="before_bypass", liking=7,
        )
        for number in range(count)
    ]  # fmt: skip
    return TrialBrew.objects.bulk_create(rows)


def taught(count: int) -> None:
    """Keep what every brew teaches, as logging each of them would have."""
    for number, brew in enumerate(TrialBrew.objects.order_by("pk")[:count]):
        TrialBrew.objects.filter(pk=brew.pk).update(
            flow_factor=0.9 + 0.01 * (number % 20), retention_g_g=2.1, learnt_with="1"
        )


def bench_of(version: GuideVersion) -> str:
    return f"{BENCH}?coffee={version.guide.coffee_id}&brewer={version.brewer_id}"


@pytest.mark.data
def test_bench_and_comparison_ask_twelve_queries_at_most_whatever_the_number_of_brews(at_desk, version, capsys):
    desk, counts = at_desk(), []
    desk.get(bench_of(version))
    made: list[TrialBrew] = []
    for count in (6, 200):
        made += brewed(version, count - len(made))
        taught(count)
        with CaptureQueriesContext(connection) as asked:
            assert desk.get(bench_of(version)).status_code == 200
        keys = "&".join(f"trial={brew.pk}" for brew in made[:6])
        with CaptureQueriesContext(connection) as compared:
            assert desk.get(f"{COMPARE}?{keys}").status_code == 200
        counts.append((len(asked), len(compared)))
    with capsys.disabled():
        print(f"\nqueries of bench and comparison with 6 and 200 brews: {counts}", end="")
    assert counts[0] == counts[1]
    assert max(counts[1]) <= MOST_QUERIES


def test_one_more_brew_costs_the_page_one_brew_whatever_their_number(at_desk, version, monkeypatch, capsys):
    """What the others teach is kept: with it forgotten, the negative control, every one of them is simulated again."""
    desk, simulated, seen = at_desk(), [], []
    real = drawdown.resolve  # once in every simulation
    monkeypatch.setattr(drawdown, "resolve", lambda *asked: simulated.append(1) or real(*asked))

    def cost() -> tuple[int, float]:
        simulated.clear()
        start = time.process_time()
        assert desk.get(bench_of(version)).status_code == 200
        return len(simulated), 1000 * (time.process_time() - start)

    made = 0
    for count in (20, 200):
        brewed(version, count - made)
        taught(made := count)
        cost()
        TrialBrewFactory(of=version, drained_s=201 + count, cup_g="231")
        seen.append((*cost(), *cost()))
        made += 1
    TrialBrew.objects.filter(pk__in=TrialBrew.objects.values("pk")[:40]).update(learnt_with="")
    forgotten = cost()
    with capsys.disabled():
        for count, (new, took_ms, _none, again_ms) in zip((21, 201), seen, strict=True):
            print(
                f"\nbench at {count} brews: {took_ms:.0f} ms of processor and {new} simulations with a new one, "
                f"{again_ms:.0f} ms with nothing new",
                end="",
            )
        print(f"; {forgotten[0]} simulations with 40 to learn anew", end="")
    for new, _took_ms, none, _again_ms in seen:
        assert 0 < new <= 25, "the search for one factor, and the stretch of a curve that is read"
        assert none == 0
    assert forgotten[0] > 80


def test_the_latest_brews_are_shown_and_the_earlier_ones_when_asked_for(at_desk, version, text_of):
    made = brewed(version, bench_sheet.LATEST + 2)
    taught(len(made))
    desk = at_desk()
    page = desk.get(bench_of(version))
    shown = {row.brew.pk for row in page.context["sheet"].rows}
    assert shown == {brew.pk for brew in made[2:]}
    assert "Show 2 earlier brews too" in text_of(page)
    assert f"That rests on {len(made)} trial brews." in text_of(page)
    whole = desk.get(f"{bench_of(version)}&all=yes")
    assert len(whole.context["sheet"].rows) == len(made)
    assert "earlier brew" not in text_of(whole)


def test_the_start_of_the_bench_shows_what_was_brewed_lately_and_the_rest_on_asking(
    at_desk, version, text_of, monkeypatch
):
    monkeypatch.setattr(benches, "LATEST", 3)
    other = published()
    long_ago = timezone.now() - datetime.timedelta(days=40)
    TrialBrewFactory(of=other, brewed_at=long_ago - datetime.timedelta(days=1))
    TrialBrewFactory(of=version, brewed_at=long_ago)
    for _brew in range(2):
        TrialBrewFactory(of=version)
    desk, name, earlier = at_desk(), version.guide.coffee.name, other.guide.coffee.name
    page = text_of(desk.get(BENCH))
    assert name in page
    assert earlier not in page
    assert "all earlier brews too" in page
    whole = desk.get(f"{BENCH}?all=yes")
    assert [(pair.coffee_name, pair.brews) for pair in whole.context["pairs"]] == [(name, 3), (earlier, 1)]
    assert "all earlier brews too" not in text_of(whole)
    (first, *_rest) = re.findall(r'href="(/admin/guides/trialbrew/bench/[^"]+)"', desk.get(BENCH).text)
    assert desk.get(first.replace("&amp;", "&")).status_code == 200


def test_the_bench_says_what_it_rests_on_and_marks_what_is_set_aside(at_desk, roaster, version, text_of):
    lot = LotFactory(coffee=version.guide.coffee)
    drained = [round(simulate(plan_of(version), flow_factor=factor).drained_s) for factor in (0.9, 0.95, 0.92, 0.4)]
    *_, far = [trials.log(TrialBrewFactory(of=version, lot=lot, drained_s=time_s), by=roaster) for time_s in drained]
    desk = at_desk(roaster)
    page = text_of(desk.get(bench_of(version)))
    assert "That rests on 4 trial brews." in page
    assert page.count("far from the others: look again") == 1
    desk.post(act(far, "set-aside"), {"reason": "The paper had folded over."})
    page = text_of(desk.get(bench_of(version)))
    assert "That rests on 3 trial brews." in page
    assert "set aside: The paper had folded over." in page
    assert "far from the others: look again" not in page
    desk.post(act(far, "take-back"), {})
    assert "That rests on 4 trial brews." in text_of(desk.get(bench_of(version)))


def test_repeating_with_one_change_says_what_it_should_do_and_fills_the_log(at_desk, roaster, version, text_of):
    brew = trials.log(TrialBrewFactory(of=version, drained_s=200), by=roaster)
    desk = at_desk(roaster)
    assert f"{PLAN}?trial={brew.pk}" in desk.get(bench_of(version)).content.decode()
    said = desk.get(f"{PLAN}?trial={brew.pk}&grind_um=560")
    page = text_of(said)
    assert "One thing changed" in page
    assert "560 μm instead of 660 μm" in page.replace("\N{NO-BREAK SPACE}", " ")
    assert "later" in page
    log = urlsplit(said.context["log_href"])
    known = {name: values[0] for name, values in parse_qs(log.query).items()}
    assert (known["repeats"], known["version"], known["grind_um"]) == (str(brew.pk), str(version.pk), "560")


def test_two_changes_are_told_that_they_hide_each_other(at_desk, version, text_of):
    brew = TrialBrewFactory(of=version)
    page = text_of(at_desk().get(f"{PLAN}?trial={brew.pk}&grind_um=560&kettle_c=90"))
    assert "you will not know which of them did it" in page


@pytest.mark.parametrize(
    ("wish", "said"),
    [
        ("grind_um=20", "greater than or equal to 100"),
        ("dose_g=x", "Enter a number"),
        ("water_g=2500", "cannot be brewed"),
    ],
)
def test_what_cannot_be_brewed_is_said_with_everything_still_there(at_desk, version, text_of, wish, said):
    for page in (PLAN, BREW):
        response = at_desk().get(f"{page}?version={version.pk}&lot={LotFactory(coffee=version.guide.coffee).pk}&{wish}")
        assert response.status_code == 200
        assert said in text_of(response)
        assert wish.split("=")[1] in response.content.decode()


@pytest.mark.parametrize("query", ["trial=9999", "version=x", "method=none&brewer=1", "method=pulses&brewer=9&lot=1"])
def test_nothing_to_set_out_from(at_desk, query):
    assert at_desk().get(f"{PLAN}?{query}").status_code == 404


def test_a_logged_plan_is_kept_as_it_was_planned(at_desk, roaster, filled):
    version = published(ValveVersionFactory())
    lot, desk = LotFactory(coffee=version.guide.coffee), at_desk(roaster)
    address = desk.get(f"{PLAN}?version={version.pk}&lot={lot.pk}&opened_s=1:30").context["log_href"]
    fields = filled(desk, f"{address}&pours=0:00–0:12 60&drained_s=3:05&strength=weak&balance=sour&feel=thin")
    assert (fields["pours"].strip(), fields["drained_s"], fields["found"], fields["balance"]) == (
        "0:00–0:12 60", "3:05", "weak", "sour_thin",
    )  # fmt: skip
    assert desk.post(reverse("admin:guides_trialbrew_add"), fields).status_code == 302
    brew = TrialBrew.objects.get()
    opens = [step.start_s for step in brewed_plan.planned(brew).steps if step.action == "open"]
    assert (opens, brew.pours, brew.drained_s) == ([90], [[0.0, 12.0, 60.0]], 185)


def test_what_was_not_answered_is_not_called_by_an_answers_name(at_desk, version, text_of):
    page = text_of(at_desk().get(change(TrialBrewFactory(of=version))))
    assert "Grounds on the wall: not looked at none a thin coat thick, high up" in page
    assert "None" not in page


def test_after_a_planned_brew_the_cup_comes_first_and_what_is_filled_in_is_folded(at_desk, version, text_of, filled):
    lot, add = LotFactory(coffee=version.guide.coffee), reverse("admin:guides_trialbrew_add")
    desk = at_desk()
    by_hand = desk.get(add).content.decode()
    assert by_hand.index('id="id_lot"') < by_hand.index('id="id_taste"')
    assert "<details" not in by_hand.partition('id="trialbrew_form"')[2]
    address = desk.get(f"{PLAN}?version={version.pk}&lot={lot.pk}").context["log_href"]
    page = desk.get(address)
    html = page.content.decode()
    assert html.index('id="id_taste"') < html.index("<details") < html.index('id="id_lot"')
    assert f"{lot} · {version.brewer} · 16 g · 264 g · 660 μm" in text_of(page).replace("\N{NO-BREAK SPACE}", " ")
    wrong = desk.post(address, {**filled(desk, address), "water_g": ""})
    assert "This field is required." in text_of(wrong)
    assert "<details" not in wrong.content.decode().partition('id="trialbrew_form"')[2], "no error is behind a fold"


@pytest.mark.parametrize("dose", ["nan", "inf", "1e999", "x", ""])
def test_an_address_that_was_tampered_with_still_opens_the_form(at_desk, dose):
    add = reverse("admin:guides_trialbrew_add")
    assert at_desk().get(f"{add}?lot=x&brewer=999&dose_g={dose}&grind_um=-1&repeats=9x").status_code == 200


def test_the_water_is_the_taps_or_that_of_the_brew_repeated_and_another_one_is_told(at_desk, roaster, version, filled):
    Roastery.objects.create(name="Mossgull Roasting Room", tap_hardness_mg_l=38, tap_alkalinity_mg_l=30)
    lot, desk = LotFactory(coffee=version.guide.coffee), at_desk(roaster)
    log = filled(desk, desk.get(f"{PLAN}?version={version.pk}&lot={lot.pk}").context["log_href"])
    assert (log["hardness_mg_l"], log["alkalinity_mg_l"]) == ("38", "30")
    add = reverse("admin:guides_trialbrew_add")
    assert desk.post(add, {**log, "water_used": "filtered", "alkalinity_mg_l": "12"}).status_code == 302
    first = TrialBrew.objects.get()
    again = filled(desk, desk.get(f"{PLAN}?trial={first.pk}").context["log_href"])
    assert (again["water_used"], again["hardness_mg_l"], again["alkalinity_mg_l"]) == ("filtered", "38", "12")
    assert desk.post(add, {**again, "water_used": "", "alkalinity_mg_l": "30"}).status_code == 302
    second = TrialBrew.objects.latest("pk")
    page = desk.get(f"{COMPARE}?trial={first.pk}&trial={second.pk}").context["page"]
    (step,) = page.steps
    assert [words.replace("\N{NO-BREAK SPACE}", " ") for words in step.changed] == [
        "another water: hardness 38 mg/L, alkalinity 30 mg/L"
    ]


@pytest.mark.parametrize("pours", ["0:00-0:12", "0:12–0:00 60", "0:00–0:12 60\n0:30–0:40 50", "12 seconds"])
def test_pours_that_cannot_be_read_say_how(at_desk, version, filled, pours, text_of):
    desk, brew = at_desk(), TrialBrewFactory(of=version)
    fields = {**filled(desk, change(brew)), "pours": pours}
    response = desk.post(change(brew), fields)
    assert response.status_code == 200
    assert any(words in text_of(response) for words in ("such as 0:00–0:12 60", "a pour ends after it begins"))
    assert pours.splitlines()[0] in response.content.decode()


def test_comparison_says_what_was_changed_and_what_it_did(at_desk, roaster, version, text_of):
    lot = LotFactory(coffee=version.guide.coffee)
    cup = {"cup_g": "230", "sample": "before_bypass", "lot": lot}
    first = trials.log(
        TrialBrewFactory(of=version, drained_s=200, strength_percent="1.40", liking=5, **cup), by=roaster
    )
    second = trials.log(
        TrialBrewFactory(of=version, drained_s=225, strength_percent="1.48", liking=8, grind_um=560, **cup), by=roaster
    )
    response = at_desk().get(f"{COMPARE}?trial={first.pk}&trial={second.pk}")
    page = text_of(response).replace("\N{NO-BREAK SPACE}", " ")
    for said in ("Grind: 560 μm instead of 660 μm", "drained 25 s later", "0.08 % stronger", "liking 8 instead of 5"):
        assert said in page
    assert "<svg" in response.content.decode()


@pytest.mark.parametrize("count", [0, 1, 7])
def test_only_two_to_six_are_compared(at_desk, version, count):
    keys = "&".join(f"trial={brew.pk}" for brew in brewed(version, count))
    assert at_desk().get(f"{COMPARE}?{keys}").status_code == 400


def test_a_version_says_what_it_rests_on_and_where_it_came_from(at_desk, roaster, version, text_of):
    chosen = trials.log(TrialBrewFactory(of=version, drained_s=200), by=roaster)
    draft = open_from_trial(chosen, by=roaster)
    page = at_desk(roaster).get(change(draft))
    assert "Rests on 1 trial brew" in text_of(page)
    assert change(chosen) in page.content.decode()
    assert "Rests on no trial brew yet" in text_of(at_desk().get(change(version)))


def test_a_new_lot_is_settled_from_its_brew(at_desk, roaster, version, text_of):
    late = trials.log(TrialBrewFactory(of=version, drained_s=260), by=roaster)
    late = TrialBrew.objects.get(pk=late.pk)
    desk = at_desk(roaster)
    page = text_of(desk.get(change(late)))
    assert "does not fit" in page
    assert "A suggestion, not brewed yet" in page
    response = desk.post(act(late, "hold"), {})
    draft = GuideVersion.objects.get(state="draft")
    assert response.url == change(draft)
    assert draft.grind_um > version.grind_um
    assert act(late, "hold") not in desk.get(change(late)).content.decode()


def test_advice_leads_to_a_plan_with_that_one_change(at_desk, roaster, version):
    brew = trials.log(TrialBrewFactory(of=version, drained_s=200, found="right", balance="sour_thin"), by=roaster)
    said = at_desk(roaster).get(change(brew)).context["said"]
    assert "finer" in said.advice
    assert said.asked.startswith(f"trial={brew.pk}&grind_um=")
    plan = at_desk(roaster).get(f"{PLAN}?{said.asked}")
    assert len(plan.context["changes"]) == 1


@pytest.mark.parametrize("role", ["packer", "shop"])
def test_the_bench_is_for_those_who_may_see_brews(at_desk, role):
    assert [at_desk(role=role).get(page).status_code for page in (BENCH, COMPARE, PLAN, BREW)] == [403] * 4


def test_readers_look_and_do_not_plan(at_desk, version):
    desk = at_desk(role="reader")
    assert desk.get(BENCH).status_code == 200
    assert desk.get(f"{PLAN}?version={version.pk}").status_code == 403


def test_a_photo_is_drawn_anew_shown_at_the_desk_and_to_nobody_else(at_desk, roaster, version, client):
    brew, desk = TrialBrewFactory(of=version), at_desk(roaster)
    refused = desk.post(act(brew, "photo"), {"picture": SimpleUploadedFile("bed.png", b"no picture"), "alt": "A bed."})
    assert refused.status_code == 409
    assert not hasattr(TrialBrew.objects.get(pk=brew.pk), "picture")
    upload = SimpleUploadedFile("bed.png", shown.encoded(shown.drawn(seed=3), "PNG"), content_type="image/png")
    assert desk.post(act(brew, "photo"), {"picture": upload, "alt": "An even bed."}).status_code == 302
    page = desk.get(change(brew))
    assert 'alt="An even bed."' in page.content.decode()
    source = page.context["said"].photo.src
    assert desk.get(source).status_code == 200
    assert client.get(source).status_code == 404
