"""From a lot's code to a packing run: what can be printed for the lot, with the counts already worked out."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from django import forms
from django.conf import settings
from django.http import QueryDict

from guides.choices import State
from guides.lifecycle.errors import Refusal
from guides.models import GuideVersion, Lot, PackingRun
from guides.presenters import scanned
from guides.presenters.bag_count import bags_of
from guides.queries import lots
from guides.queries.versions import languages

from .packing_paper import FIRST, PaperForm, copies_field, follow, propose


class FindForm(forms.Form):
    """A field for a scanner or for fingers."""

    lot = forms.CharField(max_length=200)

    found: Lot | None = None

    def clean_lot(self) -> str:
        text = self.cleaned_data["lot"]
        self.found = scanned.read(text).lot
        if self.found is None:
            raise forms.ValidationError(scanned.not_known(text))
        return str(text)


class OrderForm(forms.ModelForm, PaperForm):
    """What is printed for a lot; every field has its usual value already.

    ``proposed`` is what the copies come from, and ``followed`` whether they were changed to it.
    """

    class Meta:
        model = PackingRun
        fields = ("version", "language", "paper", "sheet", "copies", "flip", "skip")
        widgets = {"version": forms.HiddenInput, "language": forms.HiddenInput}

    copies = copies_field()
    field_order = ("paper", "sheet", "copies", "flip", "skip")

    def __init__(self, *args: Any, lot: Lot, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.lot, self.bags = lot, bags_of(lot)
        self.proposed, self.followed = propose(self.bags, FIRST), False
        if self.proposed:
            self.initial.setdefault("copies", self.proposed.copies)
        shown = {version.pk for version, _language in printable(lot)}
        self.fields["version"].queryset = GuideVersion.objects.filter(pk__in=shown)  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any]:
        super().clean()
        cleaned = PaperForm.clean(self)  # a model's form calls no other
        self.proposed = propose(self.bags, cleaned) if "skip" in cleaned else None
        if self.proposed:
            self.followed = follow(self, "copies", self.proposed.copies)
        return cleaned

    def tell(self, refusals: Iterable[Refusal]) -> None:
        """Put what an order was refused for beside the field it is about."""
        for refusal in refusals:
            self.add_error(refusal.field if refusal.field in self.fields else None, str(refusal))

    def _post_clean(self) -> None:
        self.instance.lot = self.lot
        super()._post_clean()  # type: ignore[misc]


@dataclass
class Proposal:
    """One thing that can be printed for a lot, with its form filled in. ``sides`` is where its first sheet is seen."""

    version: GuideVersion
    language: str
    prefix: str
    form: OrderForm
    sides: Sequence[str] = ()


def printable(lot: Lot) -> list[tuple[GuideVersion, str]]:
    """Give what can be printed for a lot: every published guide shown for it, in each of its languages."""
    shown = [version for _row, version in lots.guides_of(lot) if version.state == State.PUBLISHED]
    return [(version, language) for version in shown for language in languages(version)]


def proposals(lot: Lot, posted: QueryDict | None = None, chosen: str = "") -> Iterator[Proposal]:
    """Give what can be printed: every published guide shown for the lot, in each of its languages.

    Args:
        lot: the lot.
        posted: a form that was sent.
        chosen: the prefix of the proposal it was sent from.
    """
    names = dict(settings.LANGUAGES)
    for version, language in printable(lot):
        start = {"version": version.pk, "language": language}
        prefix = f"{version.pk}-{language}"
        data = posted if prefix == chosen else None
        form = OrderForm(data, initial=start, lot=lot, prefix=prefix)
        yield Proposal(version, str(names.get(language, language)), prefix, form)
