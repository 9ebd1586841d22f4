"""``python -m tests.catalogues`` brings the catalogues of words up to the sources, and compiles them.

A message that is new stands in the ``.po`` files untranslated, one that is gone is dropped, and translations are kept.
The compiled files are committed because a bare machine has no gettext tools.
"""

from __future__ import annotations

import io
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path

from babel.messages import Catalog
from babel.messages.extract import extract
from babel.messages.mofile import write_mo
from babel.messages.pofile import read_po, write_po
from django.utils.translation.template import templatize

LOCALE = Path("guides/locale")
LANGUAGES = ("sv", "fi")
WORDS = {
    "gettext": None,
    "gettext_noop": None,
    "gettext_lazy": None,
    "_": None,
    "ngettext": (1, 2),
    "ngettext_lazy": (1, 2),
    "pgettext": ((1, "c"), 2),
    "pgettext_lazy": ((1, "c"), 2),
}


@dataclass(frozen=True)
class Message:
    """What is translated: a text, or a singular and a plural, perhaps in a context."""

    text: str | tuple[str, ...]
    context: str | None = None


def sources() -> list[Path]:
    """Give every file that may hold words for people."""
    room = (path for path in Path("guides").rglob("*.py") if "migrations" not in path.parts)
    return sorted([*room, *Path("roastery").rglob("*.py"), *Path("templates").rglob("*.html")])


def messages(paths: Iterable[Path]) -> Iterator[tuple[Message, Path]]:
    """Give the messages of files, each with where it stands."""
    for path in paths:
        source = path.read_text(encoding="utf-8")
        source = templatize(source) if path.suffix == ".html" else source
        for _line, text, _comments, context in extract("python", io.BytesIO(source.encode()), keywords=WORDS):
            yield Message(text if isinstance(text, str) else tuple(part for part in text if part), context), path


def read(language: str) -> Catalog:
    """Give the catalogue of a language as it is kept."""
    with (_folder(language) / "django.po").open("rb") as file:
        return read_po(file, locale=language)


def refresh(language: str) -> list[Message]:
    """Bring one catalogue up to the sources; give what still waits for a translation."""
    kept = read(language)
    wanted: dict[Message, set[str]] = {}
    for message, path in messages(sources()):
        wanted.setdefault(message, set()).add(path.as_posix())
    fresh = Catalog(locale=language, header_comment=kept.header_comment, fuzzy=False)
    fresh.mime_headers = kept.mime_headers
    waiting = []
    for message in sorted(wanted, key=lambda message: (min(wanted[message]), str(message.text), message.context or "")):
        entry = kept.get(message.text, context=message.context)
        files = [(name, None) for name in sorted(wanted[message])]
        fresh.add(message.text, entry.string if entry else None, locations=files, context=message.context)
        if not entry or not all([entry.string] if isinstance(entry.string, str) else entry.string):
            waiting.append(message)
    with (_folder(language) / "django.po").open("wb") as file:
        write_po(file, fresh, width=120, include_lineno=False)
    for message in waiting:  # Babel would compile an empty plural
        fresh.delete(message.text, context=message.context)
    with (_folder(language) / "django.mo").open("wb") as file:
        write_mo(file, fresh)
    return waiting


def _folder(language: str) -> Path:
    return LOCALE / language / "LC_MESSAGES"


if __name__ == "__main__":
    for code in LANGUAGES:
        for untranslated in refresh(code):
            print(f"{code}: {untranslated.text!r}")
