"""Writes down the words of a draft in a further language."""

from __future__ import annotations

from collections.abc import Collection, Mapping

from django.db import transaction
from django.utils.translation import gettext_lazy as _

from guides.choices import State
from guides.models import GuideVersion, Step, StepText, User, VersionText
from guides.queries import translating
from guides.queries.translating import Text

from . import retyped, roles
from .errors import Refusal, refuse_if


def write(
    version: GuideVersion, language: str, typed: Mapping[str, str], *, by: User, still_right: Collection[str] = ()
) -> bool:
    """Keep translations; a text that is typed anew was made from the words as they are now.

    Args:
        version: a draft, whole.
        language: of the words.
        typed: text by ``Text.key``; what is not in it stays, what is empty is taken away.
        by: who translates.
        still_right: keys of outdated texts that fit the new words as they are.

    Returns:
        Whether anything changed.

    Raises:
        Refused: not allowed, not a draft, or a number of the plan typed again; ``field`` is the key of the text.
    """
    refuse_if([*roles.refusals(by, ["guides.change_guideversion"], _("translate guides")), *_not_a_draft(version)])
    changed = [
        (text, typed.get(text.key, text.translation).strip())
        for text in translating.texts(version, language)
        if _differs(text, typed) or (text.is_outdated and text.key in still_right)
    ]
    refuse_if(refusals(version, changed))
    with transaction.atomic():
        for step in dict.fromkeys(text.step for text, _words in changed):
            _keep(version, step, language, {text.name: words for text, words in changed if text.step == step})
    return bool(changed)


def refusals(version: GuideVersion, changed: Collection[tuple[Text, str]]) -> list[Refusal]:
    """Why these words cannot be kept, each named by the key of its text."""
    steps = list(version.steps.all())
    found = []
    for text, words in changed:
        place = None if text.step is None else steps.index(text.step)
        refusal = retyped.refusal(words, text.name, version, steps, place)
        if refusal is not None:
            found.append(Refusal(refusal.message, field=text.key))
    return found


def _differs(text: Text, typed: Mapping[str, str]) -> bool:
    return typed.get(text.key, text.translation).strip() != text.translation


def _not_a_draft(version: GuideVersion) -> list[Refusal]:
    if version.state == State.DRAFT:
        return []
    return [Refusal(_("Words are translated in a draft; open the next one."), field="state")]


def _keep(version: GuideVersion, step: Step | None, language: str, words: Mapping[str, str]) -> None:
    row: VersionText | StepText
    if step is None:
        row = version.texts.filter(language=language).first() or VersionText(version=version, language=language)
    else:
        _make_known(version, language)
        row = step.texts.filter(language=language).first() or StepText(step=step, language=language)
    for name, text in words.items():
        setattr(row, name, text)
        row.made_from.pop(name, None)
    if step is None or any(getattr(row, name) for name in row.TEXTS):
        row.save()
    elif row.pk is not None:
        row.delete()


def _make_known(version: GuideVersion, language: str) -> None:
    """A version has words in a language once it has a row of its own for it, however little is in it."""
    if not version.texts.filter(language=language).exists():
        VersionText.objects.create(version=version, language=language)
