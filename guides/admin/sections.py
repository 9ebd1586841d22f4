"""The desk's tables by the work they belong to: one long list of them all is found through by nobody."""

from __future__ import annotations

from typing import Any, Final

from django.urls import reverse
from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

SECTIONS: Final[dict[str, tuple[Promise, tuple[str, ...]]]] = {
    "writing": (_("Guides"), ("Guide", "GuideVersion", "StepPicture", "StepClip", "Question", "GuideOpens")),
    "coffee": (_("Coffee"), ("Coffee", "CoffeePicture", "Lot", "GreenLot", "Roast", "Dispatch")),
    "brewing": (_("Trial brews"), ("TrialBrew", "Tasting", "HomeBrew")),
    "gear": (_("Brewers and grinders"), ("Brewer", "Vessel", "ValveBase", "Paper", "Grinder")),
    "packing": (_("Packing room"), ("PackingRun", "LotCheck", "Address", "PrintFormat", "LabelStock")),
    "sites": (_("Sites and training"), ("Site",)),
    "programs": (_("Shop and other programs"), ("ApiToken", "Webhook")),
}
LAST: Final = "keeping"
"""Whatever no section names: the roastery itself, staff, and what the site writes down by itself."""


def grouped(apps: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Sort the admin's tables into sections; those without a table that the reader may see are left out.

    Args:
        apps: what ``AdminSite.get_app_list`` gives.
    """
    models = {model["object_name"]: model for app in apps for model in app["models"]}
    sections = [
        _section(key, name, [models.pop(each) for each in named if each in models])
        for key, (name, named) in SECTIONS.items()
    ]
    sections.append(_section(LAST, _("This site"), list(models.values())))
    return [section for section in sections if section["models"]]


def _section(key: str, name: Promise, models: list[dict[str, Any]]) -> dict[str, Any]:
    # The admin's template makes an id of the section and the table.
    first = f"#{key}-{models[0]['object_name'].lower()}" if models else ""
    return {
        "name": name,
        "app_label": key,
        "app_url": reverse("admin:index") + first,
        "has_module_perms": True,
        "models": models,
    }
