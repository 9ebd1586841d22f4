"""What must hold for years, a row each: what is counted, its goal, and the tests that count it, controls and all."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Counted:
    """What is counted, its goal, where its tests are, and how to find the figure in what they print.

    Without a ``figure`` the number of tests that passed is told.
    """

    what: str
    goal: str
    tests: tuple[str, ...]
    figure: str = ""
    differs: bool = True
    """Whether it says something else on another database."""


COUNTED = (
    Counted("attacks on published rows", "0 succeeded", ("tests/models/test_frozen_rows.py",), r"(\d+ attacks, .*)"),
    Counted(
        "20 publishers × 10 at once: published and numbered without gaps",
        "200/200",
        ("tests/lifecycle/test_publish_race.py",),
        r"(\d+/\d+) published",
    ),
    Counted("editors of one draft at once", "0 lost", ("tests/admin/test_at_once.py",), r"(\d+ writers.*)"),
    Counted(
        "every printed code after renaming, merging, retiring, recalling, restoring, moving",
        "0 dead, 0 wrong",
        ("tests/public/test_codes_for_ever.py",),
        r"(\d+ addresses.*)",
    ),
    Counted(
        "codes made after the backup that was restored",
        "0 dead, 0 wrong",
        ("tests/commands/test_codes_after_restore.py",),
        r"(\d+ codes, half.*)",
    ),
    Counted("guessed codes: drafts leaked", "0 hits", ("tests/public/test_unknown.py",), r"(\d+ guesses, \d+ hits)"),
    Counted(
        "Digital Links on the parser, beside another parser",
        "0 differ",
        ("tests/codes/test_digital_link.py",),
        r"(\d+ paths, .*)",
        differs=False,
    ),
    Counted("Digital Links on the site", "0 off it", ("tests/public/test_packs.py",), r"(\d+ addresses, .*)"),
    Counted("lives of a guide", "0 violations", ("tests/lifecycle/test_state_machine.py",), r"(\d+ lives .*)"),
    Counted(
        "a hostile text on pages, at the desk, in previews, on paper",
        "0 ran",
        ("tests/public/test_hostile_text.py",),
        r"(\d+ texts as questions, answers and form: 0 ran)",
        differs=False,
    ),
    Counted(
        "ways out of a PDF: connections, local files",
        "21 refused",
        ("tests/documents/test_render.py",),
        r"of (\d+ ways)",
        differs=False,
    ),
    Counted(
        "pictures that are none, or too large, or hold more than a picture",
        "0 taken",
        ("tests/media/test_picture.py",),
        r"(a bomb of .*)",
        differs=False,
    ),
    Counted("damaged lists", "0 partial imports", ("tests/exchange/test_malformed.py",), r"(\d+ damaged files .*)"),
    Counted("damaged files at the desk", "0 server errors", ("tests/admin/test_import_page.py",), r"(\d+ damaged .*)"),
    Counted("texts that would be formulas", "0 are", ("tests/exchange/test_lists.py",), r"(\d+ prefixes .*)", False),
    Counted(
        "robots' and people's questions",
        "0 of 500, 50 of 50",
        ("tests/public/test_asking.py",),
        r": (\d+ of \d+ robots' posts kept, \d+ of \d+ people's)",
    ),
    Counted(
        "30 a day over 4 workers, forwarding forged: posts taken",
        "30",
        ("tests/lifecycle/test_rate_limit.py", "tests/api/test_tokens.py"),
        r"(\d+ of \d+ posts taken)",
    ),
    Counted("guessers at the login, owner not locked out", "all pass", ("tests/roastery/test_login.py",)),
    Counted("every address × role × method", "0 unexpected", ("tests/admin/test_matrix.py",), r"(\d+ requests, .*)"),
    Counted(
        "200 worker kills: jobs done, files damaged",
        "200 done, 0 damaged",
        ("tests/commands/test_work_kills.py",),
        r"worker kills: (.*)",
    ),
    Counted(
        "200 kills of workers that pack: runs ready, halves",
        "300 ready, 0 halves",
        ("tests/commands/test_packing_kills.py",),
        r"workers killed: (.*)",
    ),
    Counted(
        "20 backups under write load, restored and compared",
        "20 whole",
        ("tests/commands/test_backup.py", "tests/commands/test_restore.py", "tests/commands/test_drill_restore.py"),
        r"(\d+ backups) while",
    ),
    Counted(
        "a full disk at every write of every act, and of every file",
        "0 halves left",
        ("tests/lifecycle/test_all_or_nothing.py", "tests/documents/test_write_once.py"),
    ),
    Counted(
        "roast dates in every zone, clocks changing",
        "0 shifted",
        ("tests/public/test_roast_dates.py",),
        r"(\d+ zones, .*)",
    ),
    Counted("traces of readers after 1,000 scans", "0 found", ("tests/public/test_opens.py",), r"(\d+ scans, .*)"),
    Counted(
        "headers of every kind of answer",
        "A+",
        ("tests/roastery/test_header_grade.py", "tests/roastery/test_headers.py"),
        differs=False,
    ),
    Counted(
        "requests from the interface's own description",
        "0 server errors",
        ("tests/api/test_against_its_description.py",),
        r"(\d+ requests, .*)",
    ),
    Counted("secrets in logs, pages, checks", "0 come out", ("tests/roastery/test_secrets.py",), differs=False),
    Counted("parts listed with their versions", "all", ("tests/commands/test_sbom.py",), differs=False),
    Counted("sites of every release brought up to this one", "all equal", ("tests/upgrades",)),
    Counted(
        "two web hosts, two workers, one of each killed under load",
        "nothing lost",
        ("tests/commands/test_whole_site.py",),
        r"(\d+ requests with .*?); ",
    ),
)
