"""Pictures and clips of steps: added while the version is a draft, shown and locked afterwards."""

from __future__ import annotations

from typing import Any

from django import forms
from django.conf import settings
from django.contrib import admin
from django.core.exceptions import ValidationError
from django.core.files.storage import default_storage
from django.db.models import Model, QuerySet
from django.http import HttpRequest
from django.utils.safestring import SafeString
from django.utils.text import format_lazy
from django.utils.translation import gettext_lazy as _

from guides.choices import State
from guides.media import captions
from guides.media.clip import KeptClip, keep_captions, keep_clip
from guides.media.keep import Kept, keep_picture
from guides.models import Step, StepClip, StepPicture
from guides.presenters import numbers

from .desk import Desk
from .mixins import locked_reason
from .thumbnails import thumbnail
from .uploads import LANGUAGES, PictureForm, held_field, picture_field, upload_field

_CAPTIONS_HELP = _(
    "WebVTT: a line WEBVTT, an empty line, then for each caption its times, such as 00:00.000 --> 00:04.000, and "
    "beneath them what is said, or what the hands do."
)
_NO_CLIP_YET_S = 3600.0  # captions are held against the clip's length when there is one


class StepChoice(forms.ModelChoiceField):
    def label_from_instance(self, step: Model) -> str:
        assert isinstance(step, Step)  # noqa: S101 - what the query gives
        return f"{step.version.title}: {step}, {numbers.clock_span(step.start_s, step.end_s)}"


class _StepForm(PictureForm):
    """Belongs to a step of a draft."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if "step" in self.fields:
            steps = Step.objects.filter(version__state=State.DRAFT).select_related("version")
            self.fields["step"] = StepChoice(steps, label=_("Step"), initial=self.initial.get("step"))

    def written_in(self) -> str:
        step = self.cleaned_data.get("step") or (self.instance.step if self.instance.step_id else None)
        return step.version.language if step else settings.LANGUAGE_CODE


class StepPictureForm(_StepForm):
    class Meta:
        model = StepPicture
        fields = ("step",)


class StepClipForm(_StepForm):
    """The clip, the picture in its place, and captions in WebVTT for each language."""

    uploads = {"clip": (keep_clip, KeptClip), "picture": (keep_picture, Kept)}
    clip = upload_field(
        _("Clip"),
        _("MP4 (H.264, AAC or no sound) or WebM, up to 6 MB and 30 s. Place and camera in the file are taken out."),
        _("Clip: choose one."),
    )
    clip_held = held_field()
    picture = picture_field(_("Picture in its place"))

    class Meta:
        model = StepClip
        fields = ("step",)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["clip"].widget.attrs["accept"] = "video/mp4,video/webm"
        for code, name in settings.LANGUAGES:
            self.fields[f"captions_{code}"] = forms.CharField(
                label=format_lazy(_("Captions, {language}"), language=name),
                max_length=captions.LONGEST,
                required=False,
                initial=self._written(code),
                widget=forms.Textarea(attrs={"rows": 6, "spellcheck": "true"}),
                help_text=_CAPTIONS_HELP if code == "en" else "",
            )

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        kept = self.kept.get("clip")
        seconds = kept.seconds if kept else float(self.instance.seconds or _NO_CLIP_YET_S)
        read = {code: self._read(code, seconds) for code in LANGUAGES if cleaned.get(f"captions_{code}")}
        main = f"captions_{self.written_in()}"
        if not cleaned.get(main) and main not in self.errors:
            self.add_error(main, _("Captions: needed in this language, for those who hear nothing or may not listen."))
        if self.errors:
            return cleaned
        if kept:
            self.instance.file, self.instance.file_sha256 = kept.file, kept.sha256
            self.instance.size, self.instance.seconds = kept.size, kept.seconds
        self.instance.captions = {
            code: keep_captions(self.instance.file, code, cues) for code, cues in read.items() if cues
        }
        return cleaned

    def _read(self, code: str, seconds: float) -> tuple[captions.Cue, ...]:
        try:
            return captions.read(self.cleaned_data[f"captions_{code}"], seconds)
        except ValidationError as error:
            self.add_error(f"captions_{code}", error)
            return ()

    def _written(self, code: str) -> str:
        name = (self.instance.captions or {}).get(code)
        if not name or not default_storage.exists(name):
            return ""
        with default_storage.open(name) as file:
            return str(file.read().decode())


class _OfStep(Desk):
    """A row of a step: written while its version is a draft."""

    list_display = ("version", "place", "shown")
    list_filter = ("step__version__state", "step__version__guide__coffee")
    search_fields = ("step__version__title", "step__version__guide__slug")
    own_fields: tuple[str, ...] = ()

    def get_queryset(self, request: HttpRequest) -> QuerySet[Any]:
        return super().get_queryset(request).select_related("step__version__guide")

    def get_form(self, request: HttpRequest, obj: Any = None, change: bool = False, **kwargs: Any) -> Any:
        # The other fields are the form's own, one per language.
        return super().get_form(request, obj, change, **{**kwargs, "fields": [] if obj else ["step"]})

    def get_readonly_fields(self, request: HttpRequest, obj: Any = None) -> tuple[str, ...]:
        return ("step", "shown", "words") if obj else ()

    def get_fieldsets(self, request: HttpRequest, obj: Any = None) -> Any:
        alts = tuple(f"alt_{code}" for code in LANGUAGES)
        if obj is None:
            return ((None, {"fields": ("step", *self.own_fields, *alts)}),)
        if not self.has_change_permission(request, obj):
            return ((None, {"fields": ("step", "shown", "words"), "description": locked_reason(obj.step.version)}),)
        return ((None, {"fields": ("step", "shown", *self.own_fields, *alts)}),)

    def has_change_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return super().has_change_permission(request, obj) and not (obj and locked_reason(obj.step.version))

    def has_delete_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return super().has_delete_permission(request, obj) and not (obj and locked_reason(obj.step.version))

    @admin.display(description=_("version"), ordering="step__version")
    def version(self, row: Any) -> str:
        return str(row.step.version)

    @admin.display(description=_("step"))
    def place(self, row: Any) -> str:
        return str(row.step)

    @admin.display(description=_("picture"))
    def shown(self, row: Any) -> SafeString:
        return thumbnail(row, row.step.version.language)

    @admin.display(description=_("what it shows"))
    def words(self, row: Any) -> str:
        return "; ".join(f"{code}: {words}" for code, words in row.alt.items())


@admin.register(StepPicture)
class StepPictureAdmin(_OfStep):
    form = StepPictureForm
    own_fields = ("picture", "picture_held")


@admin.register(StepClip)
class StepClipAdmin(_OfStep):
    form = StepClipForm
    own_fields = ("clip", "clip_held", "picture", "picture_held")

    def get_fieldsets(self, request: HttpRequest, obj: Any = None) -> Any:
        first, *rest = super().get_fieldsets(request, obj)
        if obj is not None and not self.has_change_permission(request, obj):
            return (first, *rest)
        spoken = tuple(f"captions_{code}" for code in LANGUAGES)
        return first, *rest, (_("Captions"), {"fields": spoken})
