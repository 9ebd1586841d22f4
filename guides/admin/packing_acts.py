"""The buttons of a packing run."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from django import forms
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from guides.choices import Leftovers
from guides.documents import choices
from guides.lifecycle.packing import cancel, count, make_again, moves, reprint, settle, transitions
from guides.models import PackingRun, User
from guides.models.packing_run import MOST_COPIES
from guides.presenters.bag_count import bags_of
from guides.queries import packing_runs

from .acts import Act, ActForm


class ReprintForm(ActForm):
    copies = forms.IntegerField(
        label=_("Copies"),
        min_value=1,
        max_value=MOST_COPIES,
        help_text=_("As many as were spoiled, such as 3."),
        widget=forms.NumberInput(attrs={"autofocus": True}),
    )


def use_until_field() -> forms.DateField:
    return forms.DateField(
        label=_("Use until"),
        required=False,
        widget=forms.DateInput(attrs={"type": "date"}),
        help_text=_("Only where they are used until a day."),
    )


class CountForm(ActForm):
    """Starts from the usual end: all was printed, every bag of the lot got one, and the rest is left over."""

    printed = forms.IntegerField(label=_("Printed"), min_value=0, help_text=_("All that left the printer."))
    spoiled = forms.IntegerField(label=_("Spoiled"), min_value=0, initial=0)
    left_over = forms.IntegerField(label=_("Left over"), min_value=0)
    packed = forms.IntegerField(label=_("Packed"), min_value=0)
    bags = forms.IntegerField(
        label=_("Bags packed"), min_value=0, help_text=_("Counted at the bench, not worked out from the copies.")
    )
    difference = forms.CharField(
        label=_("Why not one in each bag"),
        required=False,
        max_length=300,
        help_text=_("Only where bags and packed copies differ, such as: two bags went out as samples without one."),
    )
    leftovers = forms.ChoiceField(
        label=_("Left over copies"), required=False, choices=[("", _("choose, if any are left")), *Leftovers.choices]
    )
    use_until = use_until_field()

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        copies, paper = self.obj.copies, choices.format_of(self.obj.paper)
        packed = copies
        if paper and not paper.per_bag:
            del self.fields["bags"], self.fields["difference"]
        else:
            to_come = max(bags_of(self.obj.lot) - packing_runs.bags_so_far(self.obj), 0)
            packed = min(copies, to_come or copies)
        usual = {"printed": copies, "packed": packed, "left_over": copies - packed, "bags": packed}
        self.initial = {**usual, **self.initial}


class SettleForm(ActForm):
    leftovers = forms.ChoiceField(label=_("Left over copies"), choices=Leftovers.choices)
    use_until = use_until_field()

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["leftovers"].initial = Leftovers.DESTROY


def _may(user: User, _run: PackingRun) -> bool:
    return any(user.has_perm(permission) for permission in moves.PERMISSIONS)


def _fits(transition: transitions.Transition) -> Any:
    return lambda run: transitions.fits(run, transition)


def _count(run: PackingRun, by: User, data: dict[str, Any]) -> PackingRun:
    counts = count.Counts(data["printed"], data["spoiled"], data["left_over"], data["packed"], data.get("bags"))
    difference = data.get("difference", "")
    return count.count(
        run, counts, by=by, leftovers=data["leftovers"], use_until=data["use_until"], difference=difference
    )


def _before_counting(run: PackingRun) -> Iterator[str]:
    """What is to be known while counting."""
    if whole := bags_of(run.lot):
        text = _("%(lot)s fills %(bags)s bags by weight; %(counted)s were counted with these so far.")
        yield text % {"lot": run.lot.name, "bags": whole, "counted": packing_runs.bags_so_far(run)}
    waits: Any = packing_runs.to_settle(timezone.localdate()).filter(pk=run.pk).first()
    if waits and waits.newer is not None:
        text = _("Revision %(revision)s is out since this was ordered: what is left over is of an older one.")
        yield text % {"revision": waits.newer}


def _settle(run: PackingRun, by: User, data: dict[str, Any]) -> PackingRun:
    return settle.settle(run, data["leftovers"], by=by, use_until=data["use_until"])


PACKING_ACTS = (
    Act(
        name="reprint",
        label=_("Print again"),
        explain=_("For copies that were spoiled: the same revision, marked R1, R2 and so on."),
        done=_("%(object)s is being made."),
        may=_may,
        fits=lambda run: run.state in transitions.RELEASED,
        run=lambda run, by, data: reprint.reprint(run, data["copies"], by=by),
        form=ReprintForm,
    ),
    Act(
        name="count",
        label=_("Count and close"),
        explain=_("Every copy that was printed is spoiled, left over or packed. The numbers must add up."),
        done=_("%(object)s is counted and closed."),
        may=_may,
        fits=_fits(transitions.COUNT),
        run=_count,
        form=CountForm,
        preview=_before_counting,
    ),
    Act(
        name="settle",
        label=_("Left over: use or destroy"),
        explain=_(
            "Copies of an older revision, or past their day: name a day until which they are used, or destroy them."
        ),
        done=_("%(object)s: written down what happens to what is left over."),
        may=_may,
        fits=settle.has_leftovers,
        run=_settle,
        form=SettleForm,
    ),
    Act(
        name="make-again",
        label=_("Make it again"),
        explain=_("After what stood against it is mended."),
        done=_("%(object)s is being made."),
        may=_may,
        fits=_fits(transitions.MAKE_AGAIN),
        run=lambda run, by, _data: make_again.make_again(run, by=by),
    ),
    Act(
        name="cancel",
        label=_("Stop it"),
        explain=_("Nothing is printed. It can be made again later."),
        done=_("%(object)s is stopped."),
        may=_may,
        fits=_fits(transitions.CANCEL),
        run=lambda run, by, _data: cancel.cancel(run, by=by),
    ),
)
