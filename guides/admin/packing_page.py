"""From a lot's code to a packing run: what can be printed for the lot, with the counts already worked out."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any, Final

from django import forms
from django.conf import settings
from django.http import QueryDict
from django.utils.translation import gettext_lazy as _

from guides.calculations.yields import PrintRun, print_run
from guides.choices import Flip, State
from guides.documents import choices
from guides.documents.formats import INSERT_A6
from guides.documents.sheets import A4, for_format
from guides.lifecycle.errors import Refusal
from guides.models import GuideVersion, Lot, PackingRun
from guides.models.packing_run import MOST_COPIES
from guides.presenters import scanned
from guides.presenters.bag_count import bags_of
from guides.queries import lots
from guides.queries.versions import languages

OWN_SIZE: Final = ("", _("paper of its own size"))


class FindForm(forms.Form):
    """A field for a scanner or for fingers."""

    lot = forms.CharField(max_length=200)

    found: Lot | None = None

    def clean_lot(self) -> str:
        text = self.cleaned_data["lot"]
        self.found = scanned.read(text).lot
        if self.found is None:
            raise forms.ValidationError(
                _("“%(text)s” is neither a lot name nor an address code. Scan again, or look it up under Lots."),
                params={"text": text},
            )
        return str(text)


class OrderForm(forms.ModelForm):
    """What is printed for a lot; every field has its usual value already."""

    class Meta:
        model = PackingRun
        fields = ("version", "language", "paper", "sheet", "copies", "flip", "skip")
        widgets = {"version": forms.HiddenInput, "language": forms.HiddenInput}

    paper = forms.ChoiceField(
        label=_("Format"),
        choices=lambda: [(key, item.name) for key, item in choices.formats().items()],
        initial=INSERT_A6.key,
    )
    sheet = forms.ChoiceField(
        label=_("Printed on"),
        required=False,
        choices=lambda: [*choices.sheets().items(), OWN_SIZE],
        initial=A4.key,
    )
    copies = forms.IntegerField(
        label=_("Copies"),
        min_value=1,
        max_value=MOST_COPIES,
        help_text=_("Bags, two for the file, spares for spoiled ones, up to full sheets."),
    )
    flip = forms.ChoiceField(
        label=_("Turned over along"),
        choices=Flip.choices,
        initial=Flip.LONG,
        help_text=_("As the printer turns a sheet. A test sheet for either edge stands under Own sizes."),
    )
    skip = forms.IntegerField(
        label=_("Places used up"), min_value=0, initial=0, help_text=_("Of the first sheet; 0 for a fresh one.")
    )

    def __init__(self, *args: Any, lot: Lot, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.lot = lot
        shown = [version.pk for _row, version in lots.guides_of(lot) if version.state == State.PUBLISHED]
        self.fields["version"].queryset = GuideVersion.objects.filter(pk__in=shown)  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        paper, sheet = choices.format_of(cleaned.get("paper", "")), choices.sheet(cleaned.get("sheet", ""))
        if paper is None or sheet is None:
            cleaned["skip"] = 0
            return cleaned
        layout = choices.layout_on(sheet, paper)
        if layout is None:
            self.add_error("sheet", choices.why_not_on(sheet))
        elif cleaned.get("skip", 0) >= layout.per_sheet:
            text = _("A sheet has %(places)s places; at most %(most)s of them can be used up.")
            params = {"places": layout.per_sheet, "most": layout.per_sheet - 1}
            self.add_error("skip", forms.ValidationError(text, params=params))
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
    counted: PrintRun
    bags: int
    sides: Sequence[str] = ()


def proposals(lot: Lot, posted: QueryDict | None = None, chosen: str = "") -> Iterator[Proposal]:
    """Give what can be printed: every published guide shown for the lot, in each of its languages.

    Args:
        lot: the lot.
        posted: a form that was sent.
        chosen: the prefix of the proposal it was sent from.
    """
    per_sheet = for_format(A4, INSERT_A6)
    filled = bags_of(lot)
    counted = print_run(filled, per_sheet.per_sheet if per_sheet else 1)
    names = dict(settings.LANGUAGES)
    for _row, version in lots.guides_of(lot):
        if version.state != State.PUBLISHED:
            continue
        for language in languages(version):
            start = {"version": version.pk, "language": language, "copies": max(counted.printed, 1)}
            prefix = f"{version.pk}-{language}"
            data = posted if prefix == chosen else None
            form = OrderForm(data, initial=start, lot=lot, prefix=prefix)
            yield Proposal(version, str(names.get(language, language)), prefix, form, counted, filled)
