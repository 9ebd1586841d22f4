"""On a site with years of work in it no form lists everything, and every row can still be found and chosen."""

from __future__ import annotations

import datetime
import re

import pytest
from django.contrib import admin
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from guides.admin import choosing
from guides.models import Assignment, Coffee, GuideVersion, Lot, Site, TrialBrew
from tests.factories import BrewerFactory, LotFactory, SiteFactory, TrialBrewFactory, UserFactory
from tests.factories.busy import busy_site, know_sizes

from .addresses import act, add, change

pytestmark = pytest.mark.django_db


MOST, BOXES = 6, 3
"""Lists are shorter here than on a site, so that a few rows are many."""


@pytest.fixture(autouse=True)
def _short(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(choosing.RowField, "most", MOST)
    monkeypatch.setattr(choosing.RowsField, "most", BOXES)


@pytest.fixture
def grown() -> list[GuideVersion]:
    """More of everything than a list holds; the newest lot is L-00000, the oldest L-00011."""
    return busy_site(12, 9, coffees=9)


def old_lot() -> Lot:
    return Lot.objects.order_by("roasted_on").first()


def brew_of(lot: str = "", **also: object) -> dict[str, str]:
    """What a browser sends from the form of a new brew."""
    brewer = BrewerFactory()
    typed = {"brewer": brewer.pk, "dose_g": 15, "water_g": 240, "bypass_g": 0, "kettle_c": 93, "grind_um": 700}
    now = f"{timezone.localtime():%Y-%m-%dT%H:%M}"
    return {key: str(value) for key, value in {"lot": lot, "brewed_at": now, **typed, **also}.items()}


def logged(desk, **sent: object):
    user = desk.get(add(TrialBrew)).wsgi_request.user
    return desk.post(add(TrialBrew), brew_of(**{"brewed_by": user.pk, **sent}))


def options(response, name: str) -> dict[str, str]:
    """The rows a list of the page shows: their keys, and which are chosen."""
    return _shown(str(response.context["adminform"].form[name]))


def _shown(field: str) -> dict[str, str]:
    listed = re.findall(r'<option[^>]*>|<input type="checkbox"[^>]*>', field)
    return {re.search('value="(.*?)"', tag)[1]: "chosen" * bool(re.search("selected|checked", tag)) for tag in listed}


def pages() -> list[str]:
    site, brew = Site.objects.first() or SiteFactory(), TrialBrew.objects.order_by("pk").first()
    return [add(TrialBrew), change(brew), add(Lot), change(old_lot()), add(Site), change(site)]


@pytest.mark.data
def test_no_form_asks_or_lists_more_when_the_site_grows(at_desk, grown, roaster):
    desk, addresses = at_desk(roaster), pages()
    UserFactory.create_batch(MOST)
    for _each in range(MOST):
        BrewerFactory()

    def cost() -> list[tuple[int, int]]:
        found = []
        for address in addresses:
            with CaptureQueriesContext(connection) as captured:
                page = desk.get(address).content
            found.append((len(captured), page.count(b"<option") + page.count(b'type="checkbox"')))
        return found

    cost()  # some things are looked up once and kept
    before = cost()
    busy_site(20, 20, coffees=20)
    know_sizes()
    assert cost() == before


def test_lists_without_a_bound_would_be_noticed(at_desk, grown, roaster, monkeypatch):
    """Negative control."""
    monkeypatch.setattr(choosing.RowField, "most", 100)
    with pytest.raises(AssertionError):
        test_no_form_asks_or_lists_more_when_the_site_grows(at_desk, grown, roaster)


def test_the_list_holds_what_was_roasted_last_and_what_is_chosen(at_desk, grown):
    newest = list(Lot.objects.order_by("-roasted_on").values_list("pk", flat=True)[:MOST])
    shown = options(at_desk().get(add(TrialBrew)), "lot")
    assert list(shown) == ["", *map(str, newest)]
    brew = TrialBrewFactory(lot=old_lot())
    shown = options(at_desk().get(change(brew)), "lot")
    assert shown.pop(str(old_lot().pk)) == "chosen"
    assert set(shown) == {"", *map(str, newest)}


def test_of_a_guide_the_list_holds_what_stands(at_desk, grown):
    stands = GuideVersion.objects.order_by("-pk")[:MOST]
    assert set(options(at_desk().get(add(TrialBrew)), "version")) == {"", *(str(version.pk) for version in stands)}


@pytest.mark.data
def test_an_old_lot_is_found_by_a_part_of_its_name_and_saved_without_a_script(at_desk, grown):
    desk, lot = at_desk(), old_lot()
    looked = logged(desk, lot_find=lot.name[-4:].lower(), lot_look="1", dose_g="17.5", taste="honey", kettle_c="")
    assert (looked.status_code, TrialBrew.objects.exclude(is_check_brew=True).count()) == (200, 0)
    assert options(looked, "lot") == {"": "", str(lot.pk): "chosen"}
    page = looked.content.decode()
    assert "is found and chosen" in page
    assert 'value="17.5"' in page
    assert 'value="honey"' in page
    assert "errorlist" not in page, "whoever looks for a name is not told about the rest"
    saved = logged(desk, lot=lot.pk, lot_find=lot.name[-4:].lower(), lot_answered=lot.name[-4:].lower(), dose_g="17.5")
    assert saved.status_code == 302
    assert TrialBrew.objects.get(is_check_brew=False).lot == lot


def test_a_row_that_is_not_listed_is_taken_all_the_same(at_desk, grown):
    assert logged(at_desk(), lot=old_lot().pk).status_code == 302
    assert TrialBrew.objects.get(is_check_brew=False).lot == old_lot()


def test_a_name_that_was_not_looked_at_is_never_saved(at_desk, grown):
    """Whoever saves with a name in the field sees first what it is."""
    desk, newest = at_desk(), Lot.objects.order_by("-roasted_on").first()
    page = logged(desk, lot=newest.pk, lot_find=old_lot().name)
    assert (page.status_code, TrialBrew.objects.exclude(is_check_brew=True).count()) == (200, 0)
    assert options(page, "lot")[str(old_lot().pk)] == "chosen"
    assert "is found and chosen. Look, then save." in str(page.context["adminform"].form.errors["lot"])


@pytest.mark.parametrize(
    ("text", "said", "listed"),
    [("L-000", "fits more than 6", 7), ("L-0001", "fits 2. Choose one.", 3), ("no such", "Nothing is called", 1),
     ("a\0b", "Nothing is called", 1), ("'); --", "Nothing is called", 1), ("l-00011", "is found and chosen", 2)],
)  # fmt: skip
def test_what_a_name_fits_is_said_and_listed(at_desk, grown, text, said, listed, text_of):
    page = logged(at_desk(), lot_find=text, lot_look="1")
    assert said in text_of(page)
    assert len(options(page, "lot")) == listed


def test_the_chosen_one_stays_while_another_is_sought(at_desk, grown):
    newest = Lot.objects.order_by("-roasted_on").first()
    page = logged(at_desk(), lot=newest.pk, lot_find="no such lot", lot_look="1")
    assert options(page, "lot") == {"": "", str(newest.pk): "chosen"}


def test_one_called_exactly_so_is_meant_though_others_begin_so(at_desk, grown):
    lot = LotFactory(name="L-0001", roasted_on=timezone.localdate() - datetime.timedelta(days=900))
    assert options(logged(at_desk(), lot_find="l-0001", lot_look="1"), "lot") == {"": "", str(lot.pk): "chosen"}


def test_enter_in_another_field_saves_and_in_the_search_looks(at_desk, grown):
    """The first button of a form is pressed by Enter; it stands before the search and is not seen."""
    page = at_desk().get(add(TrialBrew)).content.decode()
    assert page.index('name="_enter"') < page.index('name="lot_look"')
    looked = logged(at_desk(), lot_find=old_lot().name, _enter="", kettle_c="")
    assert "errorlist" not in looked.content.decode()
    assert options(looked, "lot")[str(old_lot().pk)] == "chosen"
    assert logged(at_desk(), lot=old_lot().pk, _enter="").status_code == 302


def test_a_small_site_has_plain_lists(at_desk):
    busy_site(3, 3, coffees=3)
    page = at_desk().get(add(TrialBrew)).content.decode()
    assert "_find" not in page
    assert "L-00002, Outer Mark" in page


def test_a_guide_is_found_for_a_row_of_a_new_lot(at_desk, grown, filled):
    desk, old = at_desk(), grown[0].guide
    assert str(old.pk) not in options_of_row(desk.get(add(Lot)))
    sent = filled(desk, add(Lot)) | {"name": "OM-900", "coffee": str(old.coffee_id), "roasted_on": "2026-01-05",
                                     "green_kg": "12", "loss_percent": "14"}  # fmt: skip
    looked = desk.post(add(Lot), sent | {"assignments-0-guide_find": old.slug, "assignments-0-guide_look": "1"})
    assert not Lot.objects.filter(name="OM-900").exists()
    assert options_of_row(looked)[str(old.pk)] == "chosen"
    saved = desk.post(add(Lot), sent | {"assignments-0-guide": str(old.pk)})
    assert saved.status_code == 302
    assert Assignment.objects.get(lot__name="OM-900").guide == old


def options_of_row(page) -> dict[str, str]:
    (inline,) = [each for each in page.context["inline_admin_formsets"] if each.formset.model is Assignment]
    return _shown(str(inline.formset.forms[0]["guide"]))


def test_an_old_coffee_is_found_for_a_new_lot(at_desk, grown):
    oldest = old_lot().coffee
    Lot.objects.filter(coffee=oldest).update(roasted_on="2020-01-05")
    desk = at_desk()
    assert str(oldest.pk) not in options(desk.get(add(Lot)), "coffee")
    rows = {f"{name}-{part}_FORMS": "0" for name in ("assignments", "parts") for part in ("TOTAL", "INITIAL")}
    looked = desk.post(add(Lot), {"coffee_find": oldest.code, "coffee_look": "1", **rows})
    assert Coffee.objects.filter(code__icontains=oldest.code).count() == 1
    assert options(looked, "coffee") == {"": "", str(oldest.pk): "chosen"}


def test_guides_of_a_site_are_ticked_among_the_newest_and_any_is_found(at_desk, grown, filled):
    site, (taught, wanted) = SiteFactory(), (grown[0].guide, grown[1].guide)
    site.guides.add(taught)
    desk = at_desk()
    shown = options(desk.get(change(site)), "guides")
    assert shown.pop(str(taught.pk)) == "chosen"
    assert len(shown) == BOXES
    assert str(wanted.pk) not in shown
    sent = filled(desk, change(site)) | {"guides": [str(taught.pk)]}
    looked = desk.post(change(site), sent | {"guides_find": wanted.slug, "guides_look": "1"})
    assert options(looked, "guides") == {str(taught.pk): "chosen", str(wanted.pk): "chosen"}
    assert list(site.guides.all()) == [taught], "nothing is saved by looking"
    assert desk.post(change(site), sent | {"guides": [str(taught.pk), str(wanted.pk)]}).status_code == 302
    assert set(site.guides.all()) == {taught, wanted}


def test_the_page_of_an_act_finds_too_and_does_nothing_by_looking(at_desk, grown):
    """One of two coffees that are to become one is an old one."""
    first, second = Coffee.objects.order_by("-pk")[:2]
    desk, merge = at_desk(UserFactory(role="publisher")), act(second, "merge")
    assert f'value="{first.pk}"' not in desk.get(merge).content.decode()
    looked = desk.post(merge, {"into_find": first.code, "into_look": "1"})
    assert looked.status_code == 200
    assert _shown(str(looked.context["form"]["into"])) == {"": "", str(first.pk): "chosen"}
    assert "errorlist" not in looked.content.decode()
    assert desk.post(merge, {"into": first.pk, "reason": "Entered twice."}).status_code == 302
    second.refresh_from_db()
    assert second.merged_into == first
    assert str(second.pk) not in options(desk.get(add(Lot)), "coffee")


def test_whatever_is_chosen_from_a_short_list_can_be_found():
    """By the search of its own list, the first column of which is its name."""
    rows = [desk for desk in admin.site._registry.values() if isinstance(desk, choosing.ShortLists)]
    chosen = {field.related_model for desk in rows for field in desk.opts.get_fields()
              if field.many_to_one and not field.auto_created and getattr(field, "editable", False)}  # fmt: skip
    assert {Lot, GuideVersion, Coffee} <= chosen
    assert [model for model in chosen if not admin.site.get_model_admin(model).search_fields] == []
