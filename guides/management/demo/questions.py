"""What customers asked, and what the roastery made of it."""

from __future__ import annotations

import datetime

from guides.lifecycle.questions import answer, ask, sort
from guides.models import Guide, Lot, User
from guides.queries import versions

from .clock import moment
from .world import read


def play(today: datetime.date) -> None:
    """Ask every question of the demo, oldest first, and answer or put aside what was."""
    tove, ilmo = User.objects.get(username="tove"), User.objects.get(username="ilmo")
    for table in read("questions.toml")["questions"]:
        version = versions.current(Guide.objects.get(number=table["guide"]))
        assert version is not None  # noqa: S101 - every guide of the demo is published
        question = ask.ask(
            version,
            text=table["text"],
            language=table["language"],
            step=table.get("step"),
            lot=Lot.objects.filter(name=table.get("lot")).first(),
            at=moment(today, table["days_ago"], hour=19),
        )
        if "answer" in table:
            answer.answer(
                question,
                by=ilmo,
                shown=table.get("shown", table["text"]),
                answer=table["answer"],
                at=moment(today, table["answered_days_ago"], hour=9),
            )
        if table.get("spam"):
            sort.mark_spam(question, by=tove)
