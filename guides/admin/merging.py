"""The button that makes one coffee of two, and what it says beforehand of what goes along and what stays."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from django import forms
from django.utils.text import format_lazy
from django.utils.translation import gettext, ngettext
from django.utils.translation import gettext_lazy as _

from guides.lifecycle import merge_coffees
from guides.models import Coffee, User
from guides.queries import merging

from .acts import Act, ActForm
from .choosing import RowField


class MergeForm(ActForm):
    into = RowField(Coffee.objects.none(), label=_("Remains"))
    reason = forms.CharField(
        label=_("Reason"), max_length=200, help_text=_("For the history, such as: entered twice in March.")
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        others = Coffee.objects.filter(merged_into=None).exclude(pk=self.obj.pk)
        self.fields["into"].queryset = others  # type: ignore[attr-defined]
        self.fields["into"].label_from_instance = lambda coffee: f"{coffee.name} ({coffee.code})"  # type: ignore[attr-defined]
        self.fields["into"].help_text = format_lazy(
            _("Everything of {coffee} becomes this one's."), coffee=self.obj.name
        )


def _run(coffee: Coffee, by: User, data: dict[str, Any]) -> Coffee:
    return merge_coffees.merge(coffee, data["into"], by=by, reason=data["reason"])


def _reach(coffee: Coffee) -> Iterator[str]:
    found = merging.moving(coffee)
    yield from _going_along(found)
    yield from _staying(coffee, found)


def _going_along(found: merging.Moving) -> Iterator[str]:
    if found.lots:
        text = ngettext("%(count)d lot goes over: %(names)s.", "%(count)d lots go over: %(names)s.", len(found.lots))
        yield text % {"count": len(found.lots), "names": ", ".join(found.lots)}
    if found.guides:
        text = ngettext(
            "%(count)d guide goes over: %(names)s.", "%(count)d guides go over: %(names)s.", len(found.guides)
        )
        yield text % {"count": len(found.guides), "names": ", ".join(found.guides)}
    counted = (
        (found.trial_brews, gettext("trial brews")),
        (found.tastings, gettext("blind tastings")),
        (found.questions, gettext("questions")),
    )
    if along := ", ".join(f"{what}: {count}" for count, what in counted if count):
        yield gettext("With them go %(along)s.") % {"along": along}


def _staying(coffee: Coffee, found: merging.Moving) -> Iterator[str]:
    if found.codes:
        yield ngettext(
            "%(count)d code stays as it is printed and leads to the same lot.",
            "%(count)d codes stay as they are printed and lead to the same lots.",
            found.codes,
        ) % {"count": found.codes}
    if found.published:
        yield ngettext(
            "%(count)d published revision stays word for word, with the name %(coffee)s where it says so.",
            "%(count)d published revisions stay word for word, with the name %(coffee)s where they say so.",
            found.published,
        ) % {"count": found.published, "coffee": coffee.name}
    if coffee.gtin:
        yield gettext("The GTIN %(gtin)s and every link with it lead to the coffee that remains.") % {
            "gtin": coffee.gtin
        }
    yield gettext("The page “%(slug)s” leads on to the page of the coffee that remains, for good.") % {
        "slug": coffee.slug
    }
    yield gettext("The name %(name)s and the code %(code)s are never used again.") % {
        "name": coffee.name,
        "code": coffee.code,
    }


MERGE = Act(
    name="merge",
    label=_("Make this part of another coffee"),
    explain=_(
        "For one coffee that was entered twice. It cannot be taken back: what is left of this one is a sign that leads "
        "to the other."
    ),
    done=_("It is all %(object)s now."),
    may=lambda user, _coffee: user.has_perm("guides.merge_coffee"),
    fits=lambda coffee: coffee.merged_into_id is None,
    run=_run,
    form=MergeForm,
    danger=True,
    preview=_reach,
)
