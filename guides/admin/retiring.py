"""The button that retires a guide, or lets two become one."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from django import forms
from django.utils.translation import gettext, ngettext
from django.utils.translation import gettext_lazy as _

from guides.choices import State
from guides.lifecycle import retire, roles
from guides.lifecycle.transitions import WITHDRAW
from guides.models import Guide, User

from .acts import Act, ActForm


class RetireForm(ActForm):
    withdrawn_reason = forms.CharField(
        label=_("Reason"),
        required=False,
        max_length=200,
        help_text=_("Readers of an old insert are told this, such as: drains too slowly with the new crop."),
    )
    replacement = forms.ModelChoiceField(
        Guide.objects.none(),
        label=_("Use instead"),
        required=False,
        help_text=_("Its lots show this guide from now on. Empty: they say that it is withdrawn, and why."),
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        same = Guide.objects.filter(coffee=self.obj.coffee_id, versions__state=State.PUBLISHED).exclude(pk=self.obj.pk)
        self.fields["replacement"].queryset = same.distinct()  # type: ignore[attr-defined]


def _run(guide: Guide, by: User, data: dict[str, Any]) -> Guide:
    return retire.retire(guide, by=by, reason=data["withdrawn_reason"], replacement=data["replacement"])


def _reach(guide: Guide) -> Iterator[str]:
    count = guide.versions.filter(state=State.PUBLISHED).count()
    yield ngettext(
        "%(count)d published revision is withdrawn.", "%(count)d published revisions are withdrawn.", count
    ) % {"count": count}
    lots = [row.lot.name for row in retire.moving(guide)]
    if lots:
        yield gettext("On the bags of: %(lots)s.") % {"lots": ", ".join(lots)}


RETIRE = Act(
    name="retire",
    label=_("Retire this guide"),
    explain=_(
        "Every published revision is withdrawn, for good. Codes and inserts keep working: they lead to the guide "
        "chosen here, or say that this one is withdrawn. A new revision can bring it back."
    ),
    done=_("%(object)s is retired."),
    may=lambda user, _guide: roles.may(user, WITHDRAW),
    fits=lambda guide: guide.versions.filter(state=State.PUBLISHED).exists(),
    run=_run,
    form=RetireForm,
    danger=True,
    preview=_reach,
)
