"""Pictures and clips at the desk: what was typed and chosen survives an error, and a published step is locked."""

from __future__ import annotations

import re

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from guides.models import CoffeePicture, Roastery, StepClip, StepPicture
from guides.queries import versions
from tests.factories import CoffeeFactory, GuideVersionFactory, UserFactory, published
from tests.factories.shown import CAPTIONS, drawn, encoded, mp4, step_clip, step_picture

from .addresses import change

pytestmark = pytest.mark.django_db
PICTURE = "admin:guides_steppicture_"
CLIP = "admin:guides_stepclip_"


@pytest.fixture(autouse=True)
def house(settings, tmp_path) -> Roastery:
    settings.MEDIA_ROOT = tmp_path
    return Roastery.objects.create(name="Mossgull Roasting Room", languages=["en", "sv"])


@pytest.fixture
def step():
    return GuideVersionFactory().steps.first()


def jpeg(name="bed.jpg", **size):
    return SimpleUploadedFile(name, encoded(drawn(**size)), "image/jpeg")


def film(**told):
    return SimpleUploadedFile("circles.mp4", mp4(**told), "video/mp4")


def test_a_picture_of_a_step_is_taken_with_its_words(at_desk, filled, step):
    desk = at_desk()
    address = reverse(PICTURE + "add")
    form = filled(desk, address)
    assert "picture_held" in form
    sent = desk.post(
        address, {**form, "step": step.pk, "picture": jpeg(), "alt_en": "A wet bed.", "alt_sv": "En bädd."}
    )
    assert sent.status_code == 302
    row = StepPicture.objects.get()
    assert (row.step, row.width, row.height) == (step, 640, 420)
    assert row.alt == {"en": "A wet bed.", "sv": "En bädd."}


def test_an_error_elsewhere_loses_neither_the_picture_nor_the_words(at_desk, filled, step, text_of):
    desk = at_desk()
    address = reverse(PICTURE + "add")
    again = desk.post(address, {**filled(desk, address), "step": step.pk, "picture": jpeg(), "alt_sv": "En bädd."})
    assert again.status_code == 200
    assert "What it shows: say it in words" in text_of(again)
    assert "Taken. There is no need to choose it again." in text_of(again)
    held = again.context["adminform"].form["picture_held"].value()
    assert again.context["adminform"].form["alt_sv"].value() == "En bädd."
    done = desk.post(address, {"step": step.pk, "picture_held": held, "alt_en": "A wet bed.", "alt_sv": "En bädd."})
    assert done.status_code == 302
    assert StepPicture.objects.get().alt["sv"] == "En bädd."


def test_a_held_picture_cannot_be_made_up(at_desk, step, text_of):
    address = reverse(PICTURE + "add")
    again = at_desk().post(address, {"step": step.pk, "picture_held": "forged:1:2", "alt_en": "A wet bed."})
    assert "Picture: choose one." in text_of(again)
    assert not StepPicture.objects.exists()


@pytest.mark.parametrize(
    ("upload", "says"),
    [
        (SimpleUploadedFile("a.jpg", b"<!DOCTYPE html><script>alert(1)</script>"), "no JPEG, PNG or WebP"),
        (SimpleUploadedFile("logo.svg", b"<svg xmlns='http://www.w3.org/2000/svg'/>"), "no JPEG, PNG or WebP"),
        (SimpleUploadedFile("a.jpg", encoded(drawn(100, 100))), "too small"),
        (None, "Picture: choose one."),
    ],
)
def test_what_is_no_picture_is_refused_and_the_words_stay(at_desk, step, text_of, upload, says):
    sent = {"step": step.pk, "alt_en": "A wet bed."}
    if upload:
        upload.seek(0)
        sent["picture"] = upload
    again = at_desk().post(reverse(PICTURE + "add"), sent)
    assert says in text_of(again)
    assert again.context["adminform"].form["alt_en"].value() == "A wet bed."
    assert not StepPicture.objects.exists()


def test_words_change_without_choosing_the_picture_again(at_desk, filled, step):
    row, desk = step_picture(step), at_desk()
    address = reverse(PICTURE + "change", args=[row.pk])
    desk.post(address, {**filled(desk, address), "alt_en": "A wet, level bed."})
    changed = StepPicture.objects.get()
    assert (changed.alt, changed.sha256) == ({"en": "A wet, level bed."}, row.sha256)


def test_a_clip_needs_captions_that_fit_and_keeps_everything_meanwhile(at_desk, step, text_of):
    desk, address = at_desk(), reverse(CLIP + "add")
    sent = {"step": step.pk, "clip": film(), "picture": jpeg(), "alt_en": "Circles."}
    again = desk.post(address, {**sent, "captions_en": CAPTIONS.replace("00:01", "00:59")})
    assert "ends after the clip, which lasts 4.0 s" in text_of(again)
    held = {name: again.context["adminform"].form[name].value() for name in ("clip_held", "picture_held")}
    missing = desk.post(address, {"step": step.pk, **held, "alt_en": "Circles."})
    assert "Captions: needed in this language" in text_of(missing)
    done = desk.post(address, {"step": step.pk, **held, "alt_en": "Circles.", "captions_en": CAPTIONS})
    assert done.status_code == 302
    row = StepClip.objects.get()
    assert (row.seconds, set(row.captions)) == (4, {"en"})


def test_a_clip_that_does_not_play_is_refused(at_desk, step, text_of):
    sent = {"step": step.pk, "clip": film(brand=b"qt  "), "picture": jpeg(), "alt_en": "x", "captions_en": CAPTIONS}
    assert "does not play in every browser" in text_of(at_desk().post(reverse(CLIP + "add"), sent))


def test_captions_come_back_as_they_are_stored(at_desk, filled, step):
    row, desk = step_clip(step), at_desk()
    form = filled(desk, reverse(CLIP + "change", args=[row.pk]))
    assert form["captions_en"].startswith("WEBVTT")
    assert "Circles from the rim inward" in form["captions_en"]


def test_a_published_step_is_shown_and_locked(at_desk, step, text_of):
    picture, clip = step_picture(step), step_clip(step)
    published(versions.by_id(step.version_id))
    desk = at_desk(role="publisher")
    for name, row in ((PICTURE, picture), (CLIP, clip)):
        page = desk.get(reverse(name + "change", args=[row.pk]))
        assert "printed on bags, so it stays" in text_of(page)
        assert b"<img" in page.content
        assert desk.post(reverse(name + "change", args=[row.pk]), {"alt_en": "Other."}).status_code == 403
        assert desk.post(reverse(name + "delete", args=[row.pk]), {"post": "yes"}).status_code == 403
    add = desk.post(reverse(PICTURE + "add"), {"step": step.pk, "picture": jpeg(), "alt_en": "Other."})
    assert add.status_code == 200  # not among the steps that may be chosen
    assert StepPicture.objects.count() == 1


def test_a_packer_and_a_reader_change_nothing(at_desk, step):
    row = step_picture(step)
    assert at_desk(role="packer").get(reverse(PICTURE + "changelist")).status_code == 403
    reader = at_desk(UserFactory(role="reader"))
    assert reader.get(reverse(PICTURE + "change", args=[row.pk])).status_code == 200
    assert reader.post(reverse(PICTURE + "change", args=[row.pk]), {"alt_en": "Other."}).status_code == 403


def test_the_coffee_has_one_picture(at_desk, filled):
    coffee, desk = CoffeeFactory(), at_desk()
    address = reverse("admin:guides_coffeepicture_add")
    sent = desk.post(address, {**filled(desk, address), "coffee": coffee.pk, "picture": jpeg(), "alt_en": "The bag."})
    assert sent.status_code == 302
    assert CoffeePicture.objects.get().coffee == coffee


def test_the_logo_is_drawn_anew_and_can_be_taken_off(at_desk, filled, house):
    desk = at_desk(role="publisher")
    address = reverse("admin:guides_roastery_change", args=[1])
    form = filled(desk, address)
    form["further_languages"] = ["sv"]
    assert desk.post(address, {**form, "new_logo": jpeg("logo.jpg")}).status_code == 302
    house.refresh_from_db()
    assert house.logo.name.startswith("pictures/")
    assert desk.get(f"/{house.logo.name}").status_code == 200
    desk.post(address, {**form, "no_logo": "on"})
    house.refresh_from_db()
    assert not house.logo


def test_the_draft_leads_from_a_step_to_its_pictures(at_desk, draft):
    """The step is chosen already; nothing of it is looked up or typed again."""
    desk = at_desk()
    step = draft.steps.first()
    page = desk.get(change(draft)).content.decode()
    for kind in ("steppicture", "stepclip"):
        address = f"/admin/guides/{kind}/add/?step={step.pk}"
        assert f'href="{address}"' in page
        assert re.search(rf'<option value="{step.pk}"[^>]* selected', desk.get(address).content.decode())
