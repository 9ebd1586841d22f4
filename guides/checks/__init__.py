"""Numbered checks of the site: each says what is wrong, why it matters, and what to type or write."""

from .site import (
    changes_marked,
    demo_kept_apart,
    guards_in_place,
    hosts_named,
    inserts_printable,
    journal_chosen,
    printed_address,
)
from .upkeep import copies_elsewhere, folders_writable, kept_up, tools_of_the_database, zone_chosen

__all__ = [
    "changes_marked",
    "copies_elsewhere",
    "demo_kept_apart",
    "folders_writable",
    "guards_in_place",
    "hosts_named",
    "inserts_printable",
    "journal_chosen",
    "kept_up",
    "printed_address",
    "tools_of_the_database",
    "zone_chosen",
]
