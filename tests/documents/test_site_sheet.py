"""The wall sheet of a site, read back from the finished file."""

from __future__ import annotations

from dataclasses import replace

import pytest

from guides.documents import site_sheet
from guides.documents.errors import InsertRefused
from guides.documents.read_back import read
from guides.documents.site_sheet import wall_sheet
from guides.models import Site
from guides.presenters import sites
from guides.queries import versions
from tests.factories import (
    BrewerFactory,
    GrinderFactory,
    GuideVersionFactory,
    JarBrewerFactory,
    SiteFactory,
    VesselFactory,
    published,
)
from tests.public import world

from .printing import decoded_by_opencv, decoded_by_zxing, printed
from .test_every_format import words

pytestmark = pytest.mark.django_db


@pytest.fixture
def hot():
    """A guide that asks for 97 °C, as written by the sea."""
    world.roastery(tap_hardness_mg_l=38, tap_alkalinity_mg_l=30)
    return versions.by_id(published(GuideVersionFactory(kettle_c=97)).pk)


def test_it_says_where_it_hangs_and_what_changed_there(hot):
    """Water at 1,480 m boils near 95.0 °C (US Standard Atmosphere 1976 and IAPWS-97: 94.984 °C at 1,500 m)."""
    site = SiteFactory(name="Three Larches training room", grinder=GrinderFactory())
    pdf = wall_sheet(site, hot, "en")
    text = words(pdf)
    for expected in ("Three Larches training room", "Valdorra", "1,480 m", "alkalinity 190 mg/L", "Mossgull Roasting"):
        assert expected in text
    assert "Kettle: 97 °C → 94 °C" in text
    assert "put the kettle back on the heat between pours" in text
    assert "Tap water in the kettle" in text
    assert "boils at 95.1 °C" in text
    assert f"revision {hot.revision}" in text
    found = read(pdf)
    (size,) = found.sizes_mm
    assert size == pytest.approx((210, 297), abs=0.1)
    address = f"HTTPS://GUIDES.TEST/S/{site.code}/{hot.guide.number}.{hot.revision}.EN".replace("HTTPS", "HTTP")
    page = printed(pdf, 1)
    assert decoded_by_zxing(page) == [decoded_by_opencv(page)] == [address]


def test_where_its_brewer_does_not_stand_it_is_written_for_one_that_does(hot):
    small, jar = (
        BrewerFactory(name="Small cone", vessel=VesselFactory(usable_ml=420)),
        JarBrewerFactory(name="Bell jar"),
    )
    site = SiteFactory(altitude_m=0)
    site.brewers.add(jar, small)
    assert sites.request_of(site, hot.brewer).brewer == small.slug, "an open cone for an open cone"
    assert "Small cone" in words(wall_sheet(site, hot, "en"))
    site.brewers.add(hot.brewer)
    site = Site.objects.get(pk=site.pk)
    assert sites.request_of(site, hot.brewer).brewer == "", "its own stands there"
    assert "Small cone" not in words(wall_sheet(site, hot, "en"))


def test_by_the_sea_with_the_guides_own_water_nothing_changes(hot):
    site = SiteFactory(altitude_m=0, tap_hardness_mg_l=38, tap_alkalinity_mg_l=30)
    assert "the guide holds here as it is written" in words(wall_sheet(site, hot, "en"))


def test_the_same_sheet_is_made_once(hot, monkeypatch):
    site = SiteFactory()
    first = wall_sheet(site, hot, "en")
    monkeypatch.setattr(site_sheet, "painted", lambda *_given: pytest.fail("painted again"))
    assert wall_sheet(site, hot, "en") == first


def test_a_code_that_leads_elsewhere_is_not_handed_over(hot, monkeypatch):
    site, other = SiteFactory(), SiteFactory()
    real = site_sheet.sites.address_of
    monkeypatch.setattr(
        site_sheet.sites,
        "address_of",
        lambda _site, *rest: replace(real(site, *rest), code=other.code),
    )
    with pytest.raises(InsertRefused, match="leads to another site"):
        wall_sheet(site, hot, "en")


def test_a_draft_and_a_missing_translation_are_refused(hot):
    site = SiteFactory()
    with pytest.raises(InsertRefused, match="not published"):
        wall_sheet(site, versions.by_id(GuideVersionFactory().pk), "en")
    with pytest.raises(InsertRefused, match="no words in this language"):
        wall_sheet(site, hot, "sv")
