"""A brewer is made of parts that fit each other, and a draft's list says what each is made of."""

from __future__ import annotations

import json

import pytest

from guides.models import Brewer, GuideVersion, Paper, ValveBase
from tests.factories import BrewerFactory, ValveBrewerFactory

from .addresses import add, change

pytestmark = pytest.mark.django_db


def _listed(form, name: str) -> set[str]:
    return {str(label) for value, label in form.fields[name].choices if value}


def test_only_what_fits_the_cone_is_listed(at_desk):
    brewer, other = ValveBrewerFactory(), BrewerFactory()
    form = at_desk().get(change(brewer)).context["adminform"].form
    assert _listed(form, "paper") == {str(brewer.paper)}
    assert _listed(form, "valve_base") == {str(brewer.valve_base)}
    sent = json.loads(form.fields["vessel"].widget.widget.attrs["data-fits-papers"])
    assert sent[str(other.vessel_id)] == [[other.paper_id, str(other.paper)]]


def test_a_new_brewer_lists_all_until_a_cone_is_chosen(at_desk):
    BrewerFactory(), ValveBrewerFactory()
    form = at_desk().get(add(Brewer)).context["adminform"].form
    assert _listed(form, "paper") == {str(paper) for paper in Paper.objects.all()}


def test_what_does_not_fit_is_refused_with_the_reason_and_stays_on_the_page(at_desk, filled):
    brewer, paper, base, desk = (
        ValveBrewerFactory(),
        BrewerFactory().paper,
        ValveBase.objects.create(name="Other"),
        at_desk(),
    )
    fields = filled(desk, change(brewer)) | {"paper": str(paper.pk), "valve_base": str(base.pk)}
    form = desk.post(change(brewer), fields).context["adminform"].form
    assert form.errors["paper"] == [f"{paper} does not fit {brewer.vessel}. Choose a paper listed with the cone."]
    assert "does not stand on" in form.errors["valve_base"][0]
    assert form["paper"].value() == str(paper.pk)
    assert str(paper) in _listed(form, "paper")
    brewer.refresh_from_db()
    assert brewer.paper != paper


def test_a_drafts_list_is_grouped_by_cone_and_says_base_and_paper(at_desk):
    brewer = ValveBrewerFactory()
    groups = dict(at_desk().get(add(GuideVersion)).context["adminform"].form.fields["brewer"].choices)
    label = dict(groups[f"{brewer.vessel}, holds 240 mL"])[brewer.pk]
    assert label == f"{brewer} (runs when its valve is open, {brewer.valve_base}, {brewer.paper})"
