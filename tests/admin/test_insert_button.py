"""A packer prints an insert from the page of a lot."""

from __future__ import annotations

import io

import pypdf
import pytest
from django.urls import reverse

from guides.documents.errors import InsertRefused
from guides.lifecycle import assign, lots
from guides.models import Lot, Roastery
from tests.factories import GuideVersionFactory, LotFactory, published

from .addresses import change

pytestmark = pytest.mark.django_db


@pytest.fixture
def lot(roaster) -> Lot:
    Roastery.objects.create(name="Mossgull Roasting Room")
    version = published()
    lot = lots.register(LotFactory.build(coffee=version.guide.coffee), by=roaster)
    assign.assign(lot, version.guide, by=roaster)
    return lot


def _address(lot: Lot, language: str = "en", guide: int | None = None) -> str:
    number = guide or lot.assignments.get().guide.number
    return reverse("admin:guides_lot_insert", args=[lot.pk, number, language])


def test_the_button_gives_the_insert_of_this_lot(at_desk, packer, lot):
    """pypdf reads the text back: a reader other than the one that wrote it."""
    desk = at_desk(packer)
    assert f'href="{_address(lot)}"' in desk.get(change(lot)).content.decode()
    response = desk.get(_address(lot))
    assert (response.status_code, response["Content-Type"]) == (200, "application/pdf")
    assert f'inline; filename="{lot.name}-' in response["Content-Disposition"]
    text = "".join(page.extract_text() for page in pypdf.PdfReader(io.BytesIO(response.content)).pages)
    assert lot.addresses.get().code in text.replace(" ", "")


def test_a_refusal_is_said_on_the_lot(at_desk, packer, lot, monkeypatch):
    def refuse(*_args):
        raise InsertRefused(["Title: it does not fit on the insert; shorten it."])

    monkeypatch.setattr("guides.admin.insert_button.insert_pdf", refuse)
    desk = at_desk(packer)
    response = desk.get(_address(lot), follow=True)
    assert response.redirect_chain == [(change(lot), 302)]
    assert "Title: it does not fit on the insert; shorten it." in response.content.decode()


@pytest.mark.parametrize("role", ["shop", "reader"])
def test_who_may_not_print_gets_nothing(at_desk, lot, role):
    desk = at_desk(role=role)
    assert desk.get(_address(lot)).status_code == 403
    assert _address(lot) not in desk.get(change(lot)).content.decode()


def test_what_is_not_there_cannot_be_printed(at_desk, packer, lot, roaster):
    desk = at_desk(packer)
    assert desk.get(_address(lot, "xx")).status_code == 404
    assert desk.get(_address(lot, "sv")).status_code == 404
    assert desk.get(_address(lot, guide=9999)).status_code == 404
    assert desk.get("/admin/guides/lot/99999/insert/1/en.pdf").status_code == 404


def test_a_lot_whose_guide_is_not_published_says_so(at_desk, packer, roaster, text_of):
    draft = GuideVersionFactory()
    lot = lots.register(LotFactory.build(coffee=draft.guide.coffee), by=roaster)
    assign.assign(lot, draft.guide, by=roaster)
    assert "No insert to print" in text_of(at_desk(packer).get(change(lot)))
