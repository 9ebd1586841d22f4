"""What the figures of an adapted guide rest on, in sentences: cups, bag, brewer, grinder, water, units."""

from __future__ import annotations

from collections.abc import Iterator

from django.utils.translation import gettext, ngettext

from guides.calculations.adapt import Adapted
from guides.calculations.serving import cups_made
from guides.calculations.water import TARGET, beyond_target
from guides.lifecycle.snapshot import Snapshot

from .adapt_gear import Kitchen
from .adapt_request import FULL, AdaptRequest
from .numbers import Figures


def notes(asked: AdaptRequest, kitchen: Kitchen, kept: Snapshot, adapted: Adapted, figures: Figures) -> Iterator[str]:
    """Say what the figures rest on, in the language that is active."""
    if asked.size and asked.size != FULL:
        yield _cups(kept, figures)
    if kitchen.brews:
        brews = ngettext("%(n)d brew", "%(n)d brews of the same size", kitchen.brews) % {"n": kitchen.brews}
        yield gettext("What is left in the bag makes %(brews)s.") % {"brews": brews}
    yield from _brewer(kitchen, adapted, figures)
    yield from _grinder(kitchen, adapted, figures)
    if asked.hardness is not None and kitchen.water is not None and "calcium_hardness" in beyond_target(kitchen.water):
        limits = TARGET["calcium_hardness"]
        yield gettext(
            "Your water's hardness is %(hardness)s; the trade brews with %(low)s to %(high)s of calcium hardness. No "
            "figure here changes for it, but the taste does."
        ) % {
            "hardness": figures.milligrams_per_litre(kitchen.water.hardness_mg_l),
            "low": figures.milligrams_per_litre(limits.low),
            "high": figures.milligrams_per_litre(limits.high),
        }


def _cups(kept: Snapshot, figures: Figures) -> str:
    whole = figures.grams(round(kept.assessment.cup_g.likely))
    made = cups_made(kept.assessment.cup_g.likely)
    return ngettext(
        "The guide makes about %(mass)s, taken as %(n)d cup.",
        "The guide makes about %(mass)s, taken as %(n)d cups.",
        made,
    ) % {"mass": whole, "n": made}


def _brewer(kitchen: Kitchen, adapted: Adapted, figures: Figures) -> Iterator[str]:
    brewer = kitchen.request.brewer
    if brewer is None or adapted.plan.brewer != brewer:
        return
    volume = {"volume": figures.millilitres(brewer.usable_ml)}
    if kitchen.measured == "weighed":
        yield gettext("Your brewer holds %(volume)s, from your weighing.") % volume
    elif kitchen.measured == "estimated":
        yield gettext("Your brewer is taken to hold %(volume)s, by its height. Better: weigh it full once.") % volume


def _grinder(kitchen: Kitchen, adapted: Adapted, figures: Figures) -> Iterator[str]:
    if kitchen.offset_um:
        off = {"size": figures.micrometres(abs(kitchen.offset_um))}
        yield (
            gettext("By your drained times, your grinder grinds %(size)s coarser than its points say.") % off
            if kitchen.offset_um > 0
            else gettext("By your drained times, your grinder grinds %(size)s finer than its points say.") % off
        )
    if kitchen.lands_um is not None:
        apart_um = adapted.plan.grind_um - kitchen.lands_um
        told = {"size": figures.micrometres(kitchen.lands_um), "apart": figures.micrometres(abs(apart_um))}
        yield (
            gettext("By your drained times, your grinder gave about %(size)s. This plan wants it %(apart)s coarser.")
            if apart_um > 0
            else gettext("By your drained times, your grinder gave about %(size)s. This plan wants it %(apart)s finer.")
        ) % told
