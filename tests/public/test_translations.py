"""Every word customers read exists in every language, with its numbers, and the compiled catalogues are up to date.

The compiled files are committed because a bare machine has no gettext tools; Babel reads both and compares. After a
change: ``msgfmt --check-format -o django.mo django.po`` in the language's folder.
"""

from __future__ import annotations

import gettext
import io
import re
from pathlib import Path

import pytest
from babel.messages.extract import extract
from babel.messages.pofile import read_po
from django.utils.translation import override
from django.utils.translation.template import templatize

from guides import choices

LOCALE = Path("guides/locale")
LANGUAGES = ["sv", "fi"]
WORDS = {
    "gettext": None,
    "gettext_noop": None,
    "gettext_lazy": None,
    "_": None,
    "ngettext": (1, 2),
    "pgettext": ((1, "c"), 2),
}
READ_BY_CUSTOMERS = [
    *Path("guides/presenters").glob("*.py"),
    *Path("guides/public").glob("*.py"),
    Path("guides/documents/compose.py"),
    *Path("templates/guides/public").glob("*.html"),
    *Path("templates/_components").glob("*.html"),
    *Path("templates/guides/documents").glob("*.html"),
]
Message = tuple[str | None, str | tuple[str, ...]]


def messages() -> set[Message]:
    found: set[Message] = set()
    for path in READ_BY_CUSTOMERS:
        source = path.read_text(encoding="utf-8")
        source = templatize(source) if path.suffix == ".html" else source
        for _line, message, _comments, context in extract("python", io.BytesIO(source.encode()), keywords=WORDS):
            found.add((context, message))
    return found


def catalogue(language: str):
    with (LOCALE / language / "LC_MESSAGES/django.po").open("rb") as file:
        return read_po(file, locale=language)


def compiled(language: str) -> gettext.GNUTranslations:
    with (LOCALE / language / "LC_MESSAGES/django.mo").open("rb") as file:
        return gettext.GNUTranslations(file)


def forms(text: str | tuple[str, ...]) -> tuple[str, ...]:
    return (text,) if isinstance(text, str) else tuple(text)


def placeholders(text: str) -> set[str]:
    return set(re.findall(r"%\(\w+\)[sd]", text))


def test_there_is_something_to_compare():
    assert len(messages()) > 150


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_message_is_translated(language):
    known = catalogue(language)
    missing = []
    for context, message in messages():
        entry = known.get(message, context=context)
        if entry is None or entry.fuzzy or not all(forms(entry.string)):
            missing.append(message)
    assert not missing


@pytest.mark.parametrize("language", LANGUAGES)
def test_no_translation_drops_or_adds_a_number(language):
    for entry in catalogue(language):
        for written, form in zip(forms(entry.id), forms(entry.string), strict=True) if entry.id else ():
            assert placeholders(form) == placeholders(written)


@pytest.mark.parametrize("language", LANGUAGES)
def test_the_compiled_catalogue_is_in_step(language):
    ready = compiled(language)
    for entry in catalogue(language):
        if not entry.id:
            continue
        if isinstance(entry.id, tuple):
            said = (ready.ngettext(*entry.id, 1), ready.ngettext(*entry.id, 2))
        elif entry.context:
            said = (ready.pgettext(entry.context, entry.id),)
        else:
            said = (ready.gettext(entry.id),)
        assert said == forms(entry.string)
    assert len([entry for entry in catalogue(language) if entry.id]) == len(
        {key[0] if isinstance(key, tuple) else key for key in ready._catalog if key}
    )


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
