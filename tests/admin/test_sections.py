"""The desk's start shows every table once, under the work it belongs to, and only what its reader may see."""

from __future__ import annotations

from collections import Counter

import pytest
from django.apps import apps
from django.contrib import admin
from django.test import RequestFactory
from django.urls import reverse

from guides.admin.sections import LAST, SECTIONS
from guides.models import User
from tests.factories import UserFactory

pytestmark = pytest.mark.django_db


def shown(user: User) -> dict[str, list[str]]:
    request = RequestFactory().get(reverse("admin:index"))
    request.user = user
    return {
        section["app_label"]: [model["object_name"] for model in section["models"]]
        for section in admin.site.get_app_list(request)
    }


def test_every_table_of_the_desk_stands_in_one_place():
    found = shown(UserFactory(is_superuser=True))
    names = Counter(name for models in found.values() for name in models)
    assert set(names.values()) == {1}
    assert set(names) == {model.__name__ for model in admin.site._registry}
    assert list(found) == [*SECTIONS, LAST]


def test_no_section_names_a_table_that_is_not_there():
    named = {name for _title, names in SECTIONS.values() for name in names}
    assert named <= {model.__name__ for model in apps.get_app_config("guides").get_models()}


def test_a_section_without_a_table_for_its_reader_is_left_out(packer: User):
    found = shown(packer)
    assert "packing" in found
    assert "programs" not in found


def test_its_heading_leads_to_its_first_table(client, packer: User):
    client.force_login(packer)
    page = client.get(reverse("admin:index")).content.decode()
    assert f'href="{reverse("admin:index")}#packing-packingrun"' in page
    assert 'id="packing-packingrun"' in page
