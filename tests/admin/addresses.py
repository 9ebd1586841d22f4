"""Addresses of the desk."""

from django.db.models import Model
from django.urls import reverse


def change(obj: Model) -> str:
    return reverse(f"admin:guides_{obj._meta.model_name}_change", args=[obj.pk])


def add(model: type[Model]) -> str:
    return reverse(f"admin:guides_{model._meta.model_name}_add")


def act(obj: Model, name: str) -> str:
    return reverse(f"admin:guides_{obj._meta.model_name}_act", args=[obj.pk, name])
