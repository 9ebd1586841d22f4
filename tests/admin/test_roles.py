"""Each sees and does at the desk only what their group may."""

from __future__ import annotations

import pytest
from django.contrib import admin
from django.urls import reverse

from guides.admin import acts
from guides.lifecycle import review
from guides.models import Event, GuideVersion, Lot
from tests.factories import LotFactory, UserFactory

from .addresses import act, add, change

pytestmark = pytest.mark.django_db

_DESK = {model._meta.model_name: model for model in admin.site._registry if model._meta.app_label == "guides"}
_PLAIN = {
    "coffee", "coffeepicture", "greenlot", "grinder", "brewer", "labelstock", "paper", "printformat", "roast", "site",
    "stepclip", "steppicture", "tasting", "trialbrew", "valvebase", "vessel",
}  # fmt: skip
_SEES = {
    "roaster": set(_DESK) - {"user", "apitoken", "webhook"},
    "publisher": set(_DESK) - {"user"},
    "shop": {"coffee", "lot", "guide", "guideversion", "apitoken", "webhook"},
    "reader": set(_DESK) - {"user", "apitoken", "webhook"},
    "packer": {
        "coffee",
        "lot",
        "guide",
        "guideversion",
        "address",
        "packingrun",
        "printformat",
        "labelstock",
        "dispatch",
        "lotcheck",
    },
}
_ADDS = {
    "roaster": _PLAIN | {"lot", "guide", "guideversion"},
    "publisher": _PLAIN | {"lot", "guide", "guideversion", "apitoken", "webhook"},
    "packer": set(),
    "shop": {"webhook"},
    "reader": set(),
}


@pytest.mark.parametrize("role", _SEES)
def test_lists_are_open_to_those_who_may_look(at_desk, role):
    desk = at_desk(role=role)
    seen = {name for name in _DESK if desk.get(f"/admin/guides/{name}/").status_code == 200}
    assert seen == _SEES[role]


@pytest.mark.parametrize("role", _ADDS)
def test_forms_for_new_rows_are_open_to_those_who_may_write(at_desk, role):
    desk = at_desk(role=role)
    assert {name for name, model in _DESK.items() if desk.get(add(model)).status_code == 200} == _ADDS[role]
    assert {name for name, model in _DESK.items() if desk.post(add(model), {}).status_code == 200} == _ADDS[role]


@pytest.mark.parametrize("role", ["packer", "shop", "reader"])
def test_who_may_only_look_cannot_save_a_guide_or_a_lot(at_desk, draft, filled, role):
    writer, looker, lot = at_desk(), at_desk(role=role), LotFactory()
    for thing in (draft, lot) if role == "reader" else (lot,):
        fields = filled(writer, change(thing))
        assert looker.get(change(thing)).status_code == 200
        assert looker.post(change(thing), fields).status_code == 403
    assert looker.post(change(draft).replace("change", "delete"), {"post": "yes"}).status_code == 403


_MAY_ACT = {
    "submit": {"roaster", "publisher"},
    "open-next": {"roaster", "publisher"},
    "send-back": {"roaster", "publisher"},
    "publish": {"publisher"},
    "withdraw": {"publisher"},
}


@pytest.mark.parametrize("name", _MAY_ACT)
@pytest.mark.parametrize("role", _SEES)
def test_acts_on_a_guide(at_desk, draft, printed, role, name):
    desk = at_desk(role=role)
    for version in (draft, printed):
        answers = {desk.get(act(version, name)).status_code, desk.post(act(version, name), {}).status_code}
        # Whoever packs or sells does not see drafts at all.
        refused = 404 if version is draft and role in ("packer", "shop") else 403
        assert (answers == {refused}) is (role not in _MAY_ACT[name]), answers


@pytest.mark.parametrize("role", _SEES)
def test_recalling_a_lot(at_desk, role):
    lot = LotFactory()
    answer = at_desk(role=role).post(act(lot, "recall"), {"recall_reason": "A screw may be in it."})
    assert (answer.status_code == 302) is (role == "publisher")
    lot.refresh_from_db()
    assert lot.is_recalled is (role == "publisher")


def test_a_roaster_is_not_shown_a_button_to_publish(at_desk, draft, publisher):
    review.submit(draft, by=draft.created_by)
    address = act(draft, "publish")
    assert address not in at_desk(role="roaster").get(change(draft)).content.decode()
    assert address in at_desk(publisher).get(change(draft)).content.decode()


def test_a_roaster_cannot_publish_by_the_button_of_a_draft(at_desk, draft, filled):
    desk = at_desk(role="roaster")
    response = desk.post(change(draft), filled(desk, change(draft)) | {"_then": "publish"})
    assert response.url == change(draft)
    draft.refresh_from_db()
    assert draft.state == "draft"


def test_the_lifecycle_refuses_even_where_the_desk_forgets_to_ask(at_desk, draft, monkeypatch):
    """The desk is the first of two guards; with it off the second still says no."""
    review.submit(draft, by=draft.created_by)
    for entry in admin.site._registry[GuideVersion].acts:
        monkeypatch.setitem(entry.__dict__, "may", lambda user, obj: True)
    response = at_desk(role="roaster").post(act(draft, "publish"), {"seen": "0", "waiver_reason": "Because."})
    assert response.status_code == 409
    assert "may not publish guides" in response.content.decode()
    draft.refresh_from_db()
    assert draft.state == "in_review"


def test_acts_are_behind_the_log_in(client, draft):
    for address in (act(draft, "submit"), reverse("admin:guides_guideversion_preview", args=[draft.pk])):
        response = client.get(address)
        assert (response.status_code, "/admin/login/" in response.url) == (302, True)


def test_a_customer_who_is_no_staff_sees_nothing(client, draft):
    client.force_login(UserFactory(role="publisher", is_staff=False))
    assert client.get(change(draft)).status_code == 302


@pytest.mark.parametrize("model", ["event", "address", "jobrun"])
def test_what_the_site_writes_itself_nobody_writes_by_hand(at_desk, printed, model):
    chief = at_desk(UserFactory(is_superuser=True))
    event = Event.objects.first()
    assert chief.get(f"/admin/guides/{model}/").status_code == 200
    assert chief.get(f"/admin/guides/{model}/add/").status_code == 403
    if model == "event":
        assert chief.post(change(event), {"reason": "Nicer"}).status_code == 403
        assert chief.post(change(event).replace("change", "delete"), {"post": "yes"}).status_code == 403


def test_every_act_says_who_may(draft):
    """An act without a guard would be open to all who may look."""
    nobody = UserFactory()
    for model in (GuideVersion, Lot):
        for entry in admin.site._registry[model].acts:
            assert isinstance(entry, acts.Act)
            assert not entry.may(nobody, draft)
