"""Every word of the desk exists in every language, too."""

from __future__ import annotations

import pytest

from tests import catalogues


@pytest.mark.parametrize("language", catalogues.LANGUAGES)
def test_every_message_of_the_sources_is_translated(language):
    known = catalogues.read(language)
    missing = []
    for message, path in catalogues.messages(catalogues.sources()):
        entry = known.get(message.text, context=message.context)
        said = (entry.string,) if entry is not None and isinstance(entry.string, str) else entry and entry.string
        if not said or not all(said):
            missing.append((message.text, path.name))
    assert missing == []
