"""Captions. Outside check: the examples and rules of W3C's WebVTT."""

import pytest

from guides.media import captions
from guides.media.errors import NotTaken

EXAMPLE = """WEBVTT - Kneading the bed

NOTE not for readers

intro
00:01.000 --> 00:04.000 align:start
Never drink <i>liquid</i> nitrogen &amp; coffee.

00:00:05.000 --> 00:00:09.000
- It will perforate
your stomach.
"""


def test_times_and_words_are_read():
    """From the standard's first example, with a comment, a name, a tag and hours (W3C, WebVTT, 1.1)."""
    assert captions.read(EXAMPLE, 10) == (
        captions.Cue(1.0, 4.0, "Never drink liquid nitrogen & coffee."),
        captions.Cue(5.0, 9.0, "- It will perforate your stomach."),
    )


def test_what_is_stored_is_times_and_words_alone_and_reads_back():
    cues = captions.read(EXAMPLE.replace("liquid", "<script>alert(1)</script>"), 10)
    text = captions.written(cues)
    assert "<" not in text
    assert text.startswith("WEBVTT\n\n00:01.000 --> 00:04.000\n")
    assert captions.read(text, 10) == cues


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("00:01.000 --> 00:04.000\nWords", "begin with a line that says WEBVTT"),
        ("WEBVTT", "none found"),
        ("WEBVTT\n\n1 to 4\nWords", "caption 1 has no times"),
        ("WEBVTT\n\n00:01.000 --> 00:04.000\n", "caption 1 has no words"),
        ("WEBVTT\n\n00:01.000 --> 00:04.000\n<b></b>", "caption 1 has no words"),
        ("WEBVTT\n\n00:04.000 --> 00:01.000\nWords", "out of order"),
        ("WEBVTT\n\n00:03.000 --> 00:04.000\na\n\n00:01.000 --> 00:02.000\nb", "caption 2 are out of order"),
        ("WEBVTT\n\n00:01.000 --> 00:40.000\nWords", "ends after the clip"),
        ("<html>", "begin with a line"),
        ("", "begin with a line"),
    ],
)
def test_what_is_wrong_is_said_with_a_way_out(text, says):
    with pytest.raises(NotTaken) as refused:
        captions.read(text, 10)
    assert says in refused.value.messages[0]
