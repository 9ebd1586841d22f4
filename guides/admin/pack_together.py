"""Several lots in one order: scanned one after the other, printed in one file, each under its own slip."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any
from urllib.parse import urlencode

from django import forms
from django.conf import settings
from django.http import HttpRequest, QueryDict
from django.urls import reverse
from django.utils.text import format_lazy
from django.utils.translation import gettext_lazy as _

from guides.documents.errors import InsertRefused
from guides.lifecycle.errors import Refused
from guides.lifecycle.packing.order_together import order_together
from guides.models import GuideVersion, Lot, PackingRun
from guides.presenters import scanned
from guides.presenters.bag_count import bags_of

from . import first_sheet
from .acts import current_user
from .packing_page import printable
from .packing_paper import FIRST, PaperForm, copies_field, follow, propose


class LotForm(forms.Form):
    """What goes with one lot: a guide in a language, and how many."""

    guide = forms.ChoiceField(label=_("Guide"))
    copies = copies_field()

    def __init__(self, *args: Any, shown: Sequence[tuple[GuideVersion, str]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        names = dict(settings.LANGUAGES)
        self.shown = {f"{version.pk}-{language}": (version, language) for version, language in shown}
        self.fields["guide"].choices = [  # type: ignore[attr-defined]
            (key, f"{version.title}, {names.get(language, language)}")
            for key, (version, language) in self.shown.items()
        ]


@dataclass
class Line:
    """One lot of the order. ``without`` is the page without it; ``sides`` is where its first sheet is seen."""

    lot: Lot
    form: LotForm
    without: str
    bags: int
    is_first: bool
    sides: Sequence[str] = ()

    def proposed(self, values: dict[str, Any]) -> Any:
        """What is proposed for it; places are used up on the very first sheet only."""
        return propose(self.bags, values if self.is_first else {**values, "skip": 0})


@dataclass(frozen=True)
class Problem:
    """A lot that is not in the order, and why; ``mend`` is where that is changed."""

    text: Any
    mend: str = ""


class Together:
    """The lots named so far, with their forms."""

    def __init__(self, named: Iterable[str], sent: QueryDict | None) -> None:
        self.problems: list[Problem] = []
        found = list(self._found(named))
        self.names = [lot.name for lot, _shown in found]
        self.paper = PaperForm(sent)
        self.lines = [
            Line(
                lot,
                LotForm(sent, shown=shown, prefix=f"lot{lot.pk}"),
                address([name for name in self.names if name != lot.name]),
                bags_of(lot),
                is_first=not place,
            )
            for place, (lot, shown) in enumerate(found)
        ]
        for line in self.lines:
            if counted := line.proposed(FIRST):
                line.form.initial["copies"] = counted.copies

    def _found(self, named: Iterable[str]) -> Iterable[tuple[Lot, list[tuple[GuideVersion, str]]]]:
        seen = set()
        for text in filter(None, map(str.strip, named)):
            lot = scanned.read(text).lot
            if lot is None:
                self.problems.append(Problem(scanned.not_known(text)))
            elif lot.pk not in seen:
                seen.add(lot.pk)
                shown = [] if lot.is_recalled else printable(lot)
                if shown:
                    yield lot, shown
                else:
                    self.problems.append(_not_printed(lot))

    def is_valid(self) -> bool:
        """Look at all that was sent; copies that nobody touched follow the format and the sheet."""
        sound = self.paper.is_valid()
        for line in self.lines:
            sound &= line.form.is_valid()
            counted = line.proposed(self.paper.cleaned_data) if sound else None
            if counted:
                follow(line.form, "copies", counted.copies)
        return sound and bool(self.lines)

    def runs(self) -> list[PackingRun]:
        """Give the runs that were asked for, not saved yet."""
        what, made = self.paper.cleaned_data, []
        for line in self.lines:
            version, language = line.form.shown[line.form.cleaned_data["guide"]]
            made.append(
                PackingRun(
                    lot=line.lot,
                    version=version,
                    language=language,
                    paper=what["paper"],
                    sheet=what["sheet"],
                    flip=what["flip"],
                    skip=what["skip"] if line.is_first else 0,
                    copies=line.form.cleaned_data["copies"],
                )
            )
        return made

    def order(self, request: HttpRequest) -> PackingRun | None:
        """Order them; where that is refused, the forms say why."""
        try:
            return order_together(self.runs(), by=current_user(request))[0]
        except Refused as refused:
            for refusal in refused.refusals:
                self.paper.add_error(None, str(refusal))
        return None

    def look(self) -> bool:
        """Find where each lot's first sheet can be looked at; where that cannot be, the forms say why."""
        for line, run in zip(self.lines, self.runs(), strict=True):
            try:
                line.sides = first_sheet.sides_of(run)
            except InsertRefused as refused:
                for reason in refused.reasons:
                    line.form.add_error(None, reason)
        return not any(line.form.errors for line in self.lines)

    def told(self) -> list[tuple[Line, Any]]:
        """Give every line with what is proposed for it as the order stands."""
        values = self.paper.cleaned_data if self.paper.is_bound and self.paper.is_valid() else FIRST
        return [(line, line.proposed(values)) for line in self.lines]


def address(names: Sequence[str]) -> str:
    """Give the page with these lots in the order."""
    page = reverse("admin:guides_packingrun_together")
    return f"{page}?{urlencode([('lot', name) for name in names])}" if names else page


def _not_printed(lot: Lot) -> Problem:
    if lot.is_recalled:
        text = _("{lot} is recalled: {reason} Nothing of it is printed; destroy what was.")
        return Problem(format_lazy(text, lot=lot.name, reason=lot.recall_reason))
    text = _("No published guide is shown for {lot}, so there is nothing to print.")
    return Problem(format_lazy(text, lot=lot.name), reverse("admin:guides_lot_change", args=[lot.pk]))
