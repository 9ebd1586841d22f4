"""The admin site as the roaster's desk: its start says what waits for whoever looks."""

from __future__ import annotations

from typing import Any

from django.contrib.admin import AdminSite
from django.contrib.admin.apps import AdminConfig
from django.http import HttpRequest
from django.template.response import TemplateResponse
from django.urls import path


class DeskSite(AdminSite):
    def get_urls(self) -> list[Any]:
        from guides.admin import condition, language, register, second_factor

        return [
            path("language/", self.admin_view(language.choose), name="language"),
            path("condition/", self.admin_view(condition.page), name="condition"),
            path("register/", self.admin_view(register.page), name="register"),
            path("second-step/", self.admin_view(second_factor.step), name="second-step"),
            path("second-factor/", self.admin_view(second_factor.manage), name="second-factor"),
            *super().get_urls(),
        ]

    def get_app_list(self, request: HttpRequest, app_label: str | None = None) -> list[Any]:
        from guides.admin import sections

        apps = super().get_app_list(request, app_label)
        return apps if app_label else sections.grouped(apps)

    def index(self, request: HttpRequest, extra_context: dict[str, Any] | None = None) -> TemplateResponse:
        # The desk's files register themselves on this site while they are imported.
        from guides.admin import condition, waiting
        from guides.admin.acts import current_user

        user = current_user(request)
        what = {"waiting": waiting.sections(user), "alarms": condition.alarms(user)}
        return super().index(request, {**(extra_context or {}), **what})


class DeskConfig(AdminConfig):
    default_site = "roastery.desk.DeskSite"
