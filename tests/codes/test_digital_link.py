"""Digital Links taken apart.

Outside checks: the examples of the GS1 Digital Link Standard: URI Syntax, and ``biip``, which parses them too.
"""

from __future__ import annotations

import os
import random
from urllib.parse import quote

import pytest
from biip import ParseError
from biip.gs1_digital_link_uris import GS1DigitalLinkURI

from guides.codes import digital_link, gs1
from guides.codes.digital_link import BadLink, PackLink

COUNT = 100_000 if os.environ.get("FULL_COUNTS") == "1" else 2_000
SET_82 = "!\"%&'()*+,-./0123456789:;<=>?ABCDEFGHIJKLMNOPQRSTUVWXYZ_abcdefghijklmnopqrstuvwxyz"


@pytest.mark.parametrize(
    ("path", "named"),
    [
        ("/01/09520123456788", PackLink("09520123456788")),
        ("/01/09520123456788/10/ABC1", PackLink("09520123456788", lot="ABC1")),
        ("/01/09520123456788/22/2A", PackLink("09520123456788", variant="2A")),
        ("/01/09520123456788/10/ABC1/21/12345", PackLink("09520123456788", lot="ABC1", serial="12345")),
        ("/01/09520123456788/22/2A/10/ABC/21/12345", PackLink("09520123456788", "2A", "ABC", "12345")),
        ("/01/09520123456788/10/A%2FB%25", PackLink("09520123456788", lot="A/B%")),
    ],
)
def test_what_the_standard_accepts(path: str, named: PackLink) -> None:
    assert digital_link.parse(path, "17=261231&lang=sv") == named


@pytest.mark.parametrize(
    ("path", "query"),
    [
        ("/01/9520123456788", ""),  # 13 digits
        ("/01/09520123456789", ""),  # check digit
        ("/01/09520123456788/", ""),
        ("/01/09520123456788/10", ""),
        ("/01/09520123456788/10/", ""),
        ("/01/09520123456788/21/1/10/A", ""),  # order
        ("/01/09520123456788/10/A/10/B", ""),  # repeated
        ("/01/09520123456788/17/261231", ""),  # describes, names nothing
        ("/01/09520123456788/10/ABCDEFGHIJKLMNOPQRSTU", ""),  # 21 characters
        ("/01/09520123456788/10/A%20B", ""),
        ("/01/09520123456788/10/A%0D%0AB", ""),
        ("/01/09520123456788/10/%C3%85", ""),
        ("/01/09520123456788/10/%FF", ""),
        ("/01/09520123456788/10/A%zz", ""),
        ("/01/٠٩520123456788", ""),
        ("/02/09520123456788", ""),
        ("/", ""),
        ("", ""),
        ("/01/09520123456788", "10=ABC1"),  # a lot stands in the path
        ("/01/09520123456788", "17=261231&17=271231"),
    ],
)
def test_what_it_rejects(path: str, query: str) -> None:
    with pytest.raises(BadLink):
        digital_link.parse(path, query)


def any_path(rng: random.Random) -> str:
    """A path that is right, or wrong in one way or another; never in a way on which the standard is silent."""
    body = "".join(rng.choice("0123456789") for _ in range(13))
    check = gs1.check_digit(body) if rng.random() < 0.8 else rng.choice("0123456789")
    keys = [key for key in ("22", "10", "21") if rng.random() < 0.5]
    if rng.random() < 0.1:
        rng.shuffle(keys)
    if rng.random() < 0.1:
        keys.append(rng.choice(["22", "10", "21", "17", "99", "x", ""]))
    path = f"/01/{body}{check}"
    for key in keys:
        letters = SET_82 if rng.random() < 0.9 else SET_82 + " #@[]^`{|}~åé\r\n\0"
        value = "".join(rng.choice(letters) for _ in range(rng.choice([0, 1, 5, 12, 20, 20, 21])))
        path += f"/{key}/{quote(value, safe='')}"
    return path + ("/" if rng.random() < 0.03 else "")


def by_the_library(path: str) -> PackLink | None:
    try:
        found = GS1DigitalLinkURI.parse("https://guides.example" + path).element_strings
    except ParseError:
        return None
    gtin = found.get(ai="01")
    if gtin is None or gtin.gtin_error:
        return None
    values = {key: found.get(ai=key) for key in ("22", "10", "21")}
    return PackLink(gtin.value, *(value.value if value else "" for value in values.values()))


def by_us(path: str) -> PackLink | None:
    try:
        return digital_link.parse(path)
    except BadLink:
        return None


def test_the_library_agrees() -> None:
    rng = random.Random(20261128)
    valid, apart = 0, []
    for _number in range(COUNT):
        path = any_path(rng)
        ours, theirs = by_us(path), by_the_library(path)
        valid += ours is not None
        if ours != theirs:
            apart.append((path, ours, theirs))
    print(f"{COUNT} paths, {valid} valid, {len(apart)} on which biip disagrees")
    assert apart == []
    assert COUNT * 0.1 < valid < COUNT * 0.9
