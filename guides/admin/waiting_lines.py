"""One line of what waits: what it is, what is to be known about it, and where it is settled."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any
from urllib.parse import urlencode

from django.conf import settings
from django.db.models import Model
from django.urls import reverse
from django.utils import timezone
from django.utils.text import Truncator
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from guides.choices import RunState, State
from guides.models import GuideVersion, JobRun, Lot, Question
from guides.presenters import loss_words, numbers
from guides.queries import translating
from guides.queries.losses import Loss
from guides.queries.misfits import Misfit
from guides.queries.windows import Turn

from . import job_words

if TYPE_CHECKING:
    from .site_page import ToSign
    from .waiting import Asked


@dataclass(frozen=True)
class Line:
    """``text`` is the link, ``note`` stands behind it."""

    text: str
    address: str
    note: str = ""


def returned(version: Any, asked: Asked) -> Line:
    return Line(version.title, _change(version), version.last_reason)


def draft(version: GuideVersion, asked: Asked) -> Line:
    begun = asked.figures.day(timezone.localdate(version.created_at), asked.today)
    return Line(version.title, _change(version), _("since %(day)s") % {"day": begun})


def to_approve(version: Any, asked: Asked) -> Line:
    stands = _("brewed by somebody else") if version.is_brewed else _("no check brew yet")
    review = reverse("admin:guides_guideversion_review", args=[version.pk])
    return Line(version.title, review, f"{_submitted(version, asked)}; {stands}")


def to_publish(version: GuideVersion, asked: Asked) -> Line:
    approved: Any = version  # an approved one has both, by a constraint
    note = _("approved by %(who)s, %(day)s") % {
        "who": approved.approved_by.display_name,
        "day": asked.figures.day(timezone.localdate(approved.approved_at), asked.today),
    }
    return Line(version.title, _change(version), note)


def to_brew(version: GuideVersion, asked: Asked) -> Line:
    return Line(version.title, _new_check_brew(version), _submitted(version, asked))


def unchecked(version: Any, asked: Asked) -> Line:
    note = _("newest lot %(lot)s") % {"lot": version.newest_lot_name}
    return Line(version.title, _new_check_brew(version, version.newest_lot), note)


def misfit(found: Misfit, asked: Asked) -> Line:
    brew: Any = found.brew  # a check brew has a version, by a constraint
    text = _("%(guide)s, %(lot)s") % {"guide": brew.version.title, "lot": brew.lot.name}
    note = _("drained at %(at)s, outside %(window)s: hold and adjust, or keep it with a reason") % {
        "at": numbers.clock(found.drained_s),
        "window": asked.figures.time_window(found.window),
    }
    return Line(text, _change(brew), note)


def unguided(lot: Lot, asked: Asked) -> Line:
    roasted = _("%(coffee)s, roasted %(day)s") % {
        "coffee": lot.coffee.name,
        "day": asked.figures.day(lot.roasted_on, asked.today),
    }
    return Line(lot.name, _change(lot), roasted)


def turn(turned: Turn, asked: Asked) -> Line:
    said = _("at its best from %(day)s") if turned.opens else _("last best day %(day)s")
    note = f"{turned.lot.coffee.name}: {said % {'day': asked.figures.day(turned.day, asked.today)}}"
    return Line(turned.lot.name, _change(turned.lot), note)


def loss(found: tuple[Lot, Loss], asked: Asked) -> Line:
    lot, compared = found
    return Line(lot.name, _act(lot, "explain-loss"), f"{lot.coffee.name}: {loss_words.said(compared, asked.figures)}")


def to_sign(found: ToSign, asked: Asked) -> Line:
    parts = [(found.again, _("again: %(names)s")), (found.first, _("for the first time: %(names)s"))]
    note = "; ".join(words % {"names": ", ".join(names)} for names, words in parts if names)
    text = _("%(guide)s, %(site)s") % {"guide": found.version, "site": found.site}
    return Line(text, _act(found.site, "sign-off"), note)


def behind(version: GuideVersion, asked: Asked) -> Line:
    names = dict(settings.LANGUAGES)
    left = []
    for counted in translating.left(version, asked.languages):
        parts = [
            (counted.missing, _("%(number)s missing")),
            (counted.outdated, _("%(number)s outdated")),
        ]
        said = ", ".join(words % {"number": number} for number, words in parts if number)
        left.append(f"{names[counted.language]}: {said}")
    address = reverse("admin:guides_guideversion_translations", args=[version.pk])
    return Line(version.title, address, "; ".join(left))


def leftover(run: Any, asked: Asked) -> Line:
    if run.lot.is_recalled:
        why = _("the lot is recalled: destroy them")
    elif run.version.state == State.WITHDRAWN:
        why = _("the guide is withdrawn")
    elif run.newer is not None:
        why = _("revision %(revision)s is out") % {"revision": run.newer}
    else:
        why = _("were to be used until %(day)s") % {"day": asked.figures.day(run.use_until, asked.today)}
    counted = run.state == RunState.COUNTED
    text = (
        _("%(copies)s of %(lot)s, %(guide)s, revision %(revision)s")
        if counted
        else _("not counted: %(copies)s of %(lot)s, %(guide)s, revision %(revision)s")
    ) % {
        "copies": run.left_over if counted else run.copies,
        "lot": run.lot.name,
        "guide": run.version.title,
        "revision": run.version.revision,
    }
    act = "settle" if counted else "count"
    return Line(text, reverse("admin:guides_packingrun_act", args=[run.pk, act]), why)


def question(asked_for: Question, asked: Asked) -> Line:
    day = asked.figures.day(timezone.localdate(asked_for.asked_at), asked.today)
    return Line(Truncator(asked_for.text).words(12), _change(asked_for), f"{asked_for.version.title}, {day}")


def opened(guide: Any, asked: Asked) -> Line:
    counted = [
        (guide.opened, ngettext("opened once", "opened %(times)s times", guide.opened)),
        (guide.brewing, ngettext("brewed along once", "brewed along %(times)s times", guide.brewing)),
        (guide.asked, ngettext("one question", "%(times)s questions", guide.asked)),
    ]
    said = [words % {"times": asked.figures.number(times, 0)} for times, words in counted if times]
    address = reverse("admin:guides_guideopens_changelist") + f"?guide__id__exact={guide.pk}"
    return Line(guide.title, address, ", ".join(said))


def failed(run: JobRun, asked: Asked) -> Line:
    ended = asked.figures.day(timezone.localdate(run.finished_at or run.created_at), asked.today)
    return Line(str(job_words.name_of(run)), _change(run), ended)


def _submitted(version: GuideVersion, asked: Asked) -> str:
    submitted: Any = version  # one in review has both, by a constraint
    return _("from %(who)s, %(day)s") % {
        "who": submitted.submitted_by.display_name,
        "day": asked.figures.day(timezone.localdate(submitted.submitted_at), asked.today),
    }


def _change(row: Model) -> str:
    return reverse(f"admin:guides_{row._meta.model_name}_change", args=[row.pk])


def _act(row: Model, name: str) -> str:
    return reverse(f"admin:guides_{row._meta.model_name}_act", args=[row.pk, name])


def _new_check_brew(version: GuideVersion, lot: int | None = None) -> str:
    """The form of a check brew, with what the guide says filled in."""
    filled: dict[str, Any] = {
        "version": version.pk,
        "is_check_brew": "on",
        "brewer": version.brewer_id,
        "dose_g": version.dose_g,
        "water_g": version.water_g,
        "bypass_g": version.bypass_g,
        "kettle_c": version.kettle_c,
        "grind_um": version.grind_um,
    }
    if lot is not None:
        filled["lot"] = lot
    return reverse("admin:guides_trialbrew_add") + "?" + urlencode(filled)
