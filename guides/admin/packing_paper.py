"""What is printed on what: the fields of an order that say so, and the copies that follow from them."""

from __future__ import annotations

from typing import Any, Final

from django import forms
from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpRequest, HttpResponse
from django.template.response import TemplateResponse
from django.utils.translation import gettext_lazy as _

from guides.choices import Flip
from guides.documents import choices
from guides.documents.formats import INSERT_A6, Format
from guides.documents.proposed import Proposed, proposed
from guides.documents.sheets import A4, SheetPaper, Stock
from guides.models.packing_run import MOST_COPIES
from guides.presenters.bag_count import bags_of
from guides.queries import lots

OWN_SIZE: Final = ("", _("paper of its own size"))
FIRST: Final = {"paper": INSERT_A6.key, "sheet": A4.key, "skip": 0}
"""What an order starts from."""


def copies_field() -> forms.IntegerField:
    """A field that remembers what was proposed: a number nobody touched follows format and sheet."""
    return forms.IntegerField(
        label=_("Copies"),
        min_value=1,
        max_value=MOST_COPIES,
        show_hidden_initial=True,
        help_text=_("As proposed, this number follows the format and the sheet; type your own and it stays."),
    )


class PaperForm(forms.Form):
    """Format, sheet, and how the printer takes it."""

    paper = forms.ChoiceField(
        label=_("Format"),
        choices=lambda: [(key, item.name) for key, item in choices.formats().items()],
        initial=FIRST["paper"],
    )
    sheet = forms.ChoiceField(
        label=_("Printed on"),
        required=False,
        choices=lambda: [*choices.sheets().items(), OWN_SIZE],
        initial=FIRST["sheet"],
    )
    flip = forms.ChoiceField(
        label=_("Turned over along"),
        choices=Flip.choices,
        initial=Flip.LONG,
        help_text=_("As the printer turns a sheet. A test sheet for either edge stands under Own sizes."),
    )
    skip = forms.IntegerField(
        label=_("Places used up"),
        min_value=0,
        initial=FIRST["skip"],
        help_text=_("Of the first sheet; 0 for a fresh one."),
    )

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        paper, sheet = chosen(cleaned)
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


def chosen(values: dict[str, Any]) -> tuple[Format | None, SheetPaper | Stock | None]:
    """Give the format and the sheet that were chosen."""
    return choices.format_of(values.get("paper", "")), choices.sheet(values.get("sheet", ""))


def propose(bags: int, values: dict[str, Any]) -> Proposed | None:
    """Give the copies to propose for what was chosen; ``None`` where that does not go together."""
    paper, sheet = chosen(values)
    if paper is None or (values.get("sheet") and sheet is None):
        return None
    return proposed(bags, paper, sheet, values.get("skip") or 0)


def follow(form: forms.Form | forms.ModelForm, name: str, copies: int) -> bool:
    """Put the copies proposed into a field that was sent as it was proposed; says whether that changed it."""
    changes = name not in form.changed_data and form.cleaned_data.get(name) != copies
    if changes:
        form.cleaned_data[name] = copies
        # Shown again, the form shows what it now comes to, and that this is a proposal.
        places = (form.add_prefix(name), form.add_initial_prefix(name))
        form.data = {**dict(form.data.items()), **dict.fromkeys(places, str(copies))}
    return changes


def answer(request: HttpRequest) -> HttpResponse:
    """Tell a page what is proposed for a lot, while a format is chosen on it."""
    if not request.user.has_perm("guides.print_lot"):
        raise PermissionDenied
    lot, form = lots.find(request.GET.get("lot", "")), PaperForm(request.GET)
    if lot is None or not form.is_valid():
        raise Http404
    counted = propose(bags_of(lot), form.cleaned_data)
    if counted is None:
        raise Http404
    return TemplateResponse(request, "guides/admin/proposed.html", {"proposed": counted})
