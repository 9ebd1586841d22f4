"""Kinds of background work. Each may be killed at any moment and done again from the start."""

from __future__ import annotations

import datetime
from collections.abc import Callable
from typing import Any, Final

from guides.documents import orders, packing, papers
from guides.documents.insert import InsertRefused, insert_pdf
from guides.exchange import kept_backups
from guides.lifecycle import schedule
from guides.lifecycle.errors import Refused
from guides.lifecycle.packing import release, transitions
from guides.queries import backups, lots, packing_runs, versions

from . import webhooks
from .runs import Held


class CannotBeDone(Exception):
    """The work was tried and is refused for reasons that another attempt would meet again."""


def inserts_of_version(held: Held) -> dict[str, int]:
    """Make every insert of a newly published version ahead of time: for each lot that shows it, in each language.

    What is made already is found and not made again, so that an attempt goes on where the last one was stopped.

    Raises:
        CannotBeDone: some insert was refused; the others are made.
    """
    version = versions.by_id(held.arguments["version_id"])
    wanted = [(lot, language) for lot in lots.showing(version) for language in versions.languages(version)]
    held.report(0, len(wanted))
    refused = []
    for number, (lot, language) in enumerate(wanted, start=1):
        try:
            insert_pdf(lot, version, language)
        except InsertRefused as refusal:
            refused.append(f"{lot} [{language}]: {refusal}")
        held.report(number, len(wanted))
    if refused:
        raise CannotBeDone("\n".join(refused))
    return {"inserts": len(wanted)}


def publish_when_due(held: Held) -> dict[str, bool]:
    """Publish a version at the time set for it. One that was called off or published by hand is left as it is.

    Raises:
        CannotBeDone: it cannot be published any more; the time is taken back and the reason is in its history.
        NotYet: it is not due by this machine's clock.
    """
    set_for = datetime.datetime.fromisoformat(held.arguments["set_for"])
    try:
        return {"published": schedule.publish_due(held.arguments["version_id"], set_for)}
    except Refused as refused:
        raise CannotBeDone(str(refused)) from refused


def packing_run(held: Held) -> dict[str, int]:
    """Make the file of a packing run, and of those it shares it with, and release it, or keep why not.

    Raises:
        CannotBeDone: the run is refused; the reasons stand on it.
    """
    runs = packing_runs.to_print(held.arguments["run_id"])
    first = runs[0]
    try:
        ordered = [orders.order_of(run) for run in runs]
        # A worker killed between handing over and saying so leaves a run that is released already.
        released = first.state in transitions.RELEASED or release.release(
            first, papers.keep_run(packing.runs_pdf(ordered, held.report))
        )
    except InsertRefused as refused:
        release.refuse(first, refused.reasons)
        raise CannotBeDone(str(refused)) from refused
    if not released:
        raise CannotBeDone(f"{first} was stopped before it was finished.")
    return {"copies": sum(order.copies for order in ordered), "sheets": sum(order.sheets for order in ordered)}


def backup(held: Held) -> dict[str, Any]:
    """Make a backup, copy it off the machine, and let the oldest go. Tried again, it goes on with the one it made.

    Raises:
        NotCopied: it lies on this machine alone; another attempt may reach the other place.
    """
    newest = backups.newest_first().first()
    if newest is None or newest.made_at < datetime.datetime.fromisoformat(held.arguments["wanted_at"]):
        kept_backups.make(kept_backups.own_folder(), held.report)
    kept_backups.copy_newest()
    gone = kept_backups.let_the_oldest_go()
    return {"removed": len(gone)}


KINDS: Final[dict[str, Callable[[Held], Any]]] = {
    "inserts_of_version": inserts_of_version,
    "publish_when_due": publish_when_due,
    "packing_run": packing_run,
    "backup": backup,
    webhooks.KIND: webhooks.send,
    webhooks.TRIAL: webhooks.try_out,
}
