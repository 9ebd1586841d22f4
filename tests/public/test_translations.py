"""Every word customers read exists in every language, with its numbers, and the compiled catalogues are up to date.

After a change: ``python -m tests.catalogues``.
"""

from __future__ import annotations

import gettext
import re
from pathlib import Path

import pytest
from babel.messages.catalog import Message
from django.utils.translation import override

from guides import choices
from tests import catalogues
from tests.catalogues import LANGUAGES

READ_BY_CUSTOMERS = [
    *Path("guides/presenters").glob("*.py"),
    *Path("guides/public").glob("*.py"),
    Path("guides/documents/compose.py"),
    *Path("templates/guides/public").glob("*.html"),
    *Path("templates/_components").glob("*.html"),
    *Path("templates/guides/documents").rglob("*.html"),
]


def wanted() -> set[catalogues.Message]:
    return {message for message, _path in catalogues.messages(READ_BY_CUSTOMERS)}


def compiled(language: str) -> gettext.GNUTranslations:
    with (catalogues.LOCALE / language / "LC_MESSAGES/django.mo").open("rb") as file:
        return gettext.GNUTranslations(file)


def forms(text: str | tuple[str, ...]) -> tuple[str, ...]:
    return (text,) if isinstance(text, str) else tuple(text)


def translated(language: str) -> list[Message]:
    return [entry for entry in catalogues.read(language) if entry.id and all(forms(entry.string))]


def placeholders(text: str) -> set[str]:
    return set(re.findall(r"%\(\w+\)[sd]", text))


def test_there_is_something_to_compare():
    assert len(wanted()) > 150


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_message_is_translated(language):
    known = catalogues.read(language)
    missing = []
    for message in wanted():
        entry = known.get(message.text, context=message.context)
        if entry is None or entry.fuzzy or not all(forms(entry.string)):
            missing.append(message)
    assert not missing


@pytest.mark.parametrize("language", LANGUAGES)
def test_the_catalogue_holds_what_the_sources_say_and_nothing_else(language):
    kept = {catalogues.Message(entry.id, entry.context) for entry in catalogues.read(language) if entry.id}
    assert kept == {message for message, _path in catalogues.messages(catalogues.sources())}


@pytest.mark.parametrize("language", LANGUAGES)
def test_no_translation_drops_or_adds_a_number(language):
    for entry in translated(language):
        for written, form in zip(forms(entry.id), forms(entry.string), strict=True):
            assert placeholders(form) == placeholders(written)


@pytest.mark.parametrize("language", LANGUAGES)
def test_the_compiled_catalogue_is_in_step(language):
    ready = compiled(language)
    entries = translated(language)
    for entry in entries:
        if isinstance(entry.id, tuple):
            said = (ready.ngettext(*entry.id, 1), ready.ngettext(*entry.id, 2))
        elif entry.context:
            said = (ready.pgettext(entry.context, entry.id),)
        else:
            said = (ready.gettext(entry.id),)
        assert said == forms(entry.string)
    assert len(entries) == len({key[0] if isinstance(key, tuple) else key for key in ready._catalog if key})


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("words", [choices.RoastLevel, choices.Action, choices.Path])
def test_words_of_choices_that_pages_show_are_translated(language, words):
    with override("en"):
        english = [str(choice.label) for choice in words]
    with override(language):
        assert not set(english) & {str(choice.label) for choice in words}


def test_no_message_hides_inside_a_formatted_string():
    """Neither Babel nor gettext finds a message there, so it would never be translated."""
    for path in READ_BY_CUSTOMERS:
        if path.suffix == ".py":
            assert not re.search(r"\{[^{}\n]*gettext\(", path.read_text(encoding="utf-8")), path
