"""From paper to page: what a customer's phone reads from a finished insert opens that very guide."""

from urllib.parse import urlsplit

import pytest

from guides.documents.insert import insert_pdf
from tests.documents.printing import decoded_by_zxing, printed


@pytest.mark.parametrize(
    ("language", "title"), [("en", "Rope Walk in the Tidegate S"), ("sv", "Rope Walk i Tidegate S")]
)
@pytest.mark.parametrize("case", [str, str.lower])
def test_the_printed_code_opens_the_guide_in_its_language(bag, client, language, title, case):
    (scanned,) = decoded_by_zxing(printed(insert_pdf(*bag, language), page=1))
    answer = client.get(urlsplit(case(scanned)).path, follow=True)
    assert answer.status_code == 200
    assert title in answer.text
    assert "RW-078" in answer.text
