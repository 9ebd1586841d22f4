"""Forms that take pictures: checked at once, kept through every error, described in words."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import asdict
from typing import IO, Any

from django import forms
from django.conf import settings
from django.core import signing
from django.core.exceptions import ValidationError
from django.utils.text import format_lazy
from django.utils.translation import gettext_lazy as _

from guides.media.keep import Kept, keep_picture
from guides.models.kept_picture import LONGEST_ALT, KeptPicture

from .forms import NamedFieldsForm, put_back

_SALT = "guides.uploads"
LANGUAGES = tuple(code for code, _name in settings.LANGUAGES)
Keeper = Callable[[IO[bytes], int], Any]


class UploadsForm(NamedFieldsForm):
    """Takes files and keeps those that are sound.

    ``uploads`` names each file field and what stores it. A browser empties its file fields when a page comes back with
    an error; so what was stored goes along in ``<field>_held``, signed, and need not be chosen again.
    """

    uploads: dict[str, tuple[Keeper, type]]

    def clean(self) -> dict[str, Any]:
        cleaned: dict[str, Any] = super().clean() or {}
        self.kept: dict[str, Any] = {}
        for name, (keeper, kind) in self.uploads.items():
            if name in self.errors:
                continue
            upload, held = cleaned.get(name), cleaned.get(f"{name}_held")
            if upload:
                try:
                    self.kept[name] = keeper(upload, upload.size)
                except ValidationError as error:
                    self.add_error(name, error)
                    continue
                put_back(self, f"{name}_held", signing.dumps(asdict(self.kept[name]), salt=_SALT))
            elif held:
                self._take_held(name, held, kind)
            elif not self.has_upload(name):
                self.add_error(name, ValidationError(self.fields[name].error_messages["required"], "required"))
            if name in self.kept:
                self[name].help_text = _("Taken. There is no need to choose it again.")
        return cleaned

    def has_upload(self, name: str) -> bool:
        """Whether the row has this file already."""
        return self.instance.pk is not None

    def _take_held(self, name: str, held: str, kind: type) -> None:
        try:
            fields = signing.loads(held, salt=_SALT)
        except signing.BadSignature:
            self.add_error(name, ValidationError(self.fields[name].error_messages["required"], "required"))
            return
        self.kept[name] = kind(
            **{key: tuple(value) if isinstance(value, list) else value for key, value in fields.items()}
        )


def upload_field(label: Any, help_text: Any, missing: Any) -> forms.FileField:
    """A file field of an ``UploadsForm``, which decides itself whether it may be left empty."""
    return forms.FileField(label=label, help_text=help_text, required=False, error_messages={"required": missing})


def picture_field(label: Any = None) -> forms.FileField:
    """A file field for a still picture."""
    field = upload_field(
        label or _("Picture"),
        _("JPEG, PNG or WebP, up to 12 MB. It is drawn anew: place and camera in the file are not kept."),
        _("Picture: choose one."),
    )
    field.widget.attrs["accept"] = "image/jpeg,image/png,image/webp"
    return field


def held_field() -> forms.CharField:
    return forms.CharField(required=False, widget=forms.HiddenInput)


class PictureForm(UploadsForm):
    """A picture and what it shows, in words, in each language."""

    uploads = {"picture": (keep_picture, Kept)}
    picture = picture_field()
    picture_held = held_field()

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for code, name in settings.LANGUAGES:
            self.fields[f"alt_{code}"] = forms.CharField(
                label=format_lazy(_("What it shows, {language}"), language=name),
                max_length=LONGEST_ALT,
                required=False,
                initial=self.instance.alt.get(code, ""),
            )

    def written_in(self) -> str:
        """The language in which the words must be there."""
        raise NotImplementedError

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        alt = {code: str(cleaned.get(f"alt_{code}") or "").strip() for code in LANGUAGES}
        main = self.written_in()
        if not alt[main] and f"alt_{main}" not in self.errors:
            self.add_error(
                f"alt_{main}",
                _("What it shows: say it in words, for those who do not see it; in this language at least."),
            )
        self.instance.alt = {code: words for code, words in alt.items() if words}
        if kept := self.kept.get("picture"):
            put_on(self.instance, kept)
        return cleaned


def put_on(row: KeptPicture, kept: Kept) -> None:
    """Write a stored picture into the columns of a row."""
    row.name, row.sha256 = kept.name, kept.sha256
    row.width, row.height, row.widths = kept.width, kept.height, list(kept.widths)
