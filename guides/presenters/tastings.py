"""What a blind tasting comes to: what was in the cups, what was chosen, and how far that is more than luck."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from django.utils.translation import get_language, gettext, ngettext

from guides.calculations.constants import SIGNIFICANCE
from guides.calculations.tasting import chance_of_favourite, chance_of_right, fewest_right
from guides.choices import TastingKind
from guides.models import Taster, Tasting, TastingCup, TrialBrew

from .numbers import Figures


@dataclass(frozen=True)
class Note:
    """What somebody wrote about a cup before they knew."""

    who: str
    code: str
    text: str


@dataclass(frozen=True)
class Poured:
    """One of what was compared: its codes, how often it was chosen, its notes. ``brew`` is its trial brew, if any."""

    name: str
    codes: tuple[str, ...]
    chosen: int
    notes: tuple[Note, ...]
    brew: int | None = None


@dataclass(frozen=True)
class Result:
    """``counted`` says what was found, ``luck`` how often chance would give it, ``so`` what that allows to say."""

    poured: tuple[Poured, ...]
    counted: str
    luck: str
    so: str


def what_is_in(cup: TastingCup) -> str:
    """Say what is in a cup, for the desk and after the reveal."""
    if cup.lot is not None:
        return f"{cup.lot.coffee.name}, {cup.lot.name}"
    assert cup.trial_brew is not None  # noqa: S101 - the database sees to it that a cup is of one thing
    return of_brew(cup.trial_brew)


def of_brew(brew: TrialBrew) -> str:
    """Say what was brewed: the guide it followed, lot, dose, water and grind."""
    figures = Figures(get_language() or "en")
    recipe = ", ".join(
        [
            brew.lot.name,
            figures.grams(float(brew.dose_g)),
            figures.grams(float(brew.water_g)),
            figures.micrometres(brew.grind_um),
        ]
    )
    return f"{brew.version.title}, {recipe}" if brew.version else recipe


def key(tasting: Tasting) -> tuple[Poured, ...]:
    """Give what stands under which codes, with choices and notes, by sample."""
    tasters = [taster for taster in tasting.tasters.all() if taster.sent_at]
    chosen = Counter(taster.choice.sample for taster in tasters if taster.choice)
    samples: dict[int, list[TastingCup]] = {}
    for cup in tasting.cups.all():
        samples.setdefault(cup.sample, []).append(cup)
    return tuple(
        Poured(
            name=what_is_in(cups[0]),
            codes=tuple(cup.code for cup in cups),
            chosen=chosen[sample],
            notes=tuple(
                Note(str(taster), note.cup.code, note.text)
                for taster in tasters
                for note in taster.notes.all()
                if note.cup.sample == sample
            ),
            brew=cups[0].trial_brew_id,
        )
        for sample, cups in sorted(samples.items())
    )


def result(tasting: Tasting, language: str) -> Result:
    """Give what a tasting comes to, in the language that is active.

    Args:
        tasting: revealed, from ``queries.tastings.whole``.
        language: of numbers.
    """
    poured, figures = key(tasting), Figures(language)
    tasters = [taster for taster in tasting.tasters.all() if taster.sent_at]
    if tasting.kind == TastingKind.TRIANGLE:
        return Result(poured, *_triangle(tasters, {cup.code: cup.sample for cup in tasting.cups.all()}, figures))
    return Result(poured, *_preference(poured, len(tasters), figures))


def found_it(taster: Taster, sample_of: dict[str, int]) -> bool:
    """Say whether somebody chose the odd one of their three cups."""
    counted = Counter(sample_of[code] for code in taster.order)
    return taster.choice is not None and counted[taster.choice.sample] == 1


def _triangle(tasters: Sequence[Taster], sample_of: dict[str, int], figures: Figures) -> tuple[str, str, str]:
    right, tasted = sum(found_it(taster, sample_of) for taster in tasters), len(tasters)
    counted = gettext("%(right)d of %(all)d found the odd cup.") % {"right": right, "all": tasted}
    luck = gettext(
        "Guessing alone finds it one time in three; it gives so many or more in %(chance)s of such tests."
    ) % {"chance": _share(chance_of_right(right, tasted), figures)}
    fewest = fewest_right(tasted)
    if fewest is None:
        return counted, luck, gettext("So few tasters prove nothing, even if all are right: ask three or more.")
    if right >= fewest:
        so = gettext(
            "From %(fewest)d right answers on, luck gives so many less than once in twenty (ISO 4120): told apart."
        )
    else:
        so = gettext(
            "It takes %(fewest)d to be luck less than once in twenty (ISO 4120). This may be luck; that the two are "
            "the same is not shown either."
        )
    return counted, luck, so % {"fewest": fewest}


def _preference(poured: Sequence[Poured], tasted: int, figures: Figures) -> tuple[str, str, str]:
    said = sum(each.chosen for each in poured)
    unsaid = tasted - said
    if not said:
        return gettext("Nobody could say which they like best."), "", gettext("Choose by what the notes say.")
    most = max(each.chosen for each in poured)
    best = [each.name for each in poured if each.chosen == most]
    counted = ngettext(
        "%(most)d of %(all)d liked this best: %(names)s.",
        "%(most)d of %(all)d each liked these best: %(names)s.",
        len(best),
    ) % {"most": most, "all": said, "names": " – ".join(best)}
    if unsaid:
        counted += " " + ngettext(
            "%(n)d could not say and is not counted.", "%(n)d could not say and are not counted.", unsaid
        ) % {"n": unsaid}
    chance = chance_of_favourite(most, said, len(poured))
    luck = gettext(
        "If all had chosen at random, some cup would be chosen so often or more in %(chance)s of such tastings."
    ) % {"chance": _share(chance, figures)}
    if chance < SIGNIFICANCE.value:
        return counted, luck, gettext("Luck gives that less than once in twenty: these tasters prefer it.")
    return counted, luck, gettext("That may well be luck. Go by the notes, or taste again with more people.")


def _share(chance: float, figures: Figures) -> str:
    return figures.percent(chance, 2 if chance < 0.01 else 0)
