"""The words of a version beside their translations: a page of its own, for whoever translates."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from django import forms
from django.conf import settings
from django.contrib import messages
from django.contrib.admin.utils import unquote
from django.core.exceptions import PermissionDenied
from django.db import transaction
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseRedirect
from django.template.response import TemplateResponse
from django.urls import URLPattern, path, reverse
from django.utils.text import capfirst
from django.utils.translation import gettext as _

from guides.choices import State
from guides.lifecycle import translate, writers
from guides.lifecycle.errors import Refused
from guides.models import GuideVersion, Step, StepText, VersionText
from guides.queries import translating, versions
from guides.queries.translating import Progress, Text

from .acts import ActsAdmin, current_user
from .conflicts import TOKEN, _saves, hold
from .forms import put_back
from .mixins import locked_reason


@dataclass(frozen=True)
class Cell:
    """One text in one language: its field, and whether it still fits."""

    language: str
    name: str
    text: Text
    field: Any
    keep: Any


@dataclass(frozen=True)
class Row:
    """One text of the roaster's and its translations; ``heading`` where a new step begins."""

    heading: str
    label: str
    source: str
    cells: list[Cell]


class TranslationsForm(forms.Form):
    """A field for every text in every language, and a tick for outdated ones that are right as they are."""

    edit_number = forms.IntegerField(widget=forms.HiddenInput, required=False)

    def __init__(self, version: GuideVersion, languages: list[str], data: Any = None) -> None:
        super().__init__(data, initial={TOKEN: version.edit_number})
        self.version, self.languages = version, languages
        self.texts = {code: translating.texts(version, code) for code in languages}
        names = dict(settings.LANGUAGES)
        for code, texts in self.texts.items():
            for text in texts:
                self._add(code, str(names.get(code, code)), text)

    def _add(self, code: str, language: str, text: Text) -> None:
        column = _column(text)
        where = _("Step %(number)s") % {"number": text.step.position} if text.step else _("Guide")
        area = forms.Textarea(
            attrs={
                "rows": 2 if (column.max_length or 0) <= 160 else 4,
                "lang": code,
                "aria-label": f"{language}: {where}, {column.verbose_name}",
            }
        )
        self.fields[f"{code}:{text.key}"] = forms.CharField(
            label=language, required=False, max_length=column.max_length, widget=area, initial=text.translation
        )
        if text.is_outdated:
            self.fields[f"{code}:{text.key}:keep"] = forms.BooleanField(label=_("fits as it is"), required=False)

    def typed(self, code: str) -> dict[str, str]:
        return {text.key: self.cleaned_data.get(f"{code}:{text.key}", "") for text in self.texts[code]}

    def still_right(self, code: str) -> set[str]:
        return {text.key for text in self.texts[code] if self.cleaned_data.get(f"{code}:{text.key}:keep")}

    def rows(self) -> Iterator[Row]:
        by_key = {code: {text.key: text for text in texts} for code, texts in self.texts.items()}
        order = dict.fromkeys(key for texts in by_key.values() for key in texts)
        before: Step | None = None
        for key in order:
            cells = [self._cell(code, found[key]) for code, found in by_key.items() if key in found]
            text = cells[0].text
            column = _column(text)
            heading = str(text.step) if text.step is not None and text.step != before else ""
            before = text.step
            yield Row(heading, capfirst(str(column.verbose_name)), text.source, cells)

    def _cell(self, code: str, text: Text) -> Cell:
        name = f"{code}:{text.key}"
        keep = self[f"{name}:keep"] if f"{name}:keep" in self.fields else None
        return Cell(code, str(self.fields[name].label), text, self[name], keep)


def _column(text: Text) -> Any:
    return (VersionText if text.step is None else StepText)._meta.get_field(text.name)


class TranslationsPage(ActsAdmin):
    """For the admin of versions: ``…/translations/``."""

    def get_urls(self) -> list[URLPattern]:
        view = self.admin_site.admin_view(self.translations_view)
        own = path("<path:object_id>/translations/", view, name="guides_guideversion_translations")
        return [own, *super().get_urls()]

    def translations_view(self, request: HttpRequest, object_id: str) -> HttpResponse:
        if request.method != "POST":
            return self._shown(request, self._version(request, object_id))
        with transaction.atomic():
            hold(unquote(object_id))
            version = self._version(request, object_id)
            if not request.user.has_perm("guides.change_guideversion"):
                raise PermissionDenied
            return self._kept(request, version)

    def _version(self, request: HttpRequest, object_id: str) -> GuideVersion:
        found = versions.whole().filter(pk=unquote(object_id)) if unquote(object_id).isdecimal() else None
        version = found.first() if found is not None else None
        if version is None:
            raise Http404
        if not self.has_view_permission(request, version):
            raise PermissionDenied
        return version

    def _kept(self, request: HttpRequest, version: GuideVersion) -> HttpResponse:
        languages = translating.languages(version)
        form = TranslationsForm(version, languages, request.POST)
        if form.is_valid() and form.cleaned_data.get(TOKEN) != version.edit_number:
            form.add_error(None, _overtaken(version, form.cleaned_data.get(TOKEN)))
            put_back(form, TOKEN, version.edit_number)
        if form.is_valid() and self._written(request, version, form):
            messages.success(request, _("The words are kept."))
            return HttpResponseRedirect(request.path)
        return self._shown(request, version, form)

    def _written(self, request: HttpRequest, version: GuideVersion, form: TranslationsForm) -> bool:
        """Keep every language, or none and say why at the fields."""
        changed = []
        try:
            with transaction.atomic():
                for code in form.languages:
                    kept = form.still_right(code)
                    if translate.write(version, code, form.typed(code), by=current_user(request), still_right=kept):
                        changed.append(code)
        except Refused as refused:
            for refusal in refused.refusals:
                name = f"{code}:{refusal.field}"
                form.add_error(name if name in form.fields else None, str(refusal.message))
            return False
        if changed:
            GuideVersion.objects.filter(pk=version.pk).update(edit_number=version.edit_number + 1)
            writers.record_edit(version, by=current_user(request))
            names = ", ".join(str(dict(settings.LANGUAGES)[code]) for code in changed)
            self.log_change(request, version, _("Translated: %(languages)s.") % {"languages": names})
        return True

    def _shown(self, request: HttpRequest, version: GuideVersion, form: TranslationsForm | None = None) -> HttpResponse:
        languages = translating.languages(version)
        may_write = version.state == State.DRAFT and request.user.has_perm("guides.change_guideversion")
        form = form or TranslationsForm(version, languages)
        if not may_write:
            for field in form.fields.values():
                field.disabled = True
        names = dict(settings.LANGUAGES)
        context = {
            **self.admin_site.each_context(request),
            "title": _("Words in other languages"),
            "subtitle": str(version),
            "opts": self.opts,
            "original": version,
            "form": form,
            "rows": list(form.rows()),
            "source_language": names[version.language],
            "progress": [(names[code], _counted(translating.progress(version, code))) for code in languages],
            "may_write": may_write,
            "locked": locked_reason(version),
            "words_alone": [act for act in self.offered(request, version) if act.name == "publish-words"],
            "back": reverse("admin:guides_guideversion_change", args=[version.pk]),
            "media": self.media,
        }
        status = 409 if form.is_bound and form.errors else 200
        return TemplateResponse(request, "guides/admin/translations.html", context, status=status)


def _counted(progress: Progress) -> str:
    said = _("%(done)s of %(total)s texts") % {"done": progress.done, "total": progress.total}
    if progress.outdated:
        said += ", " + _("%(number)s outdated") % {"number": progress.outdated}
    return said


def _overtaken(version: GuideVersion, opened_on: int | None) -> list[str]:
    missed = version.edit_number - opened_on if opened_on is not None and opened_on < version.edit_number else 1
    return [
        *_saves(version, missed),
        _("What you typed is all here and not kept yet. Look at theirs in another tab; saving again keeps yours."),
    ]
