"""A roastery moves in: a spreadsheet's list, put right after the first look, kept, and ready to print from then on."""

from __future__ import annotations

from pathlib import Path

import pytest

from guides.models import Address, Lot
from tests.factories import CoffeeFactory

from .people import at_work, looks_right

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

LIST = """lot name;coffee;roasted on;green, kg;roast loss, %
RW-078;RW;1.3.2025;15,0;13,4
RW-091;RX;2.3.2025;12,0;13,6
"""


@pytest.mark.parametrize("width", [360, 1280])
def test_from_a_spreadsheet_to_lots(browser, live_server, tmp_path: Path, width: int) -> None:
    CoffeeFactory(name="Rope Walk", code="RW")
    file = tmp_path / "lots.csv"
    file.write_bytes(LIST.encode("cp1252"))
    tab = at_work(browser, live_server.url, "roaster")
    page = tab.page
    tab.resize(width)

    tab.go("/admin/guides/lot/")
    looks_right(tab)
    page.click("text=Bring a list in")
    page.set_input_files("#id_file", file)
    page.click("text=See what it does")
    page.wait_for_url("**held=*")
    assert "choose that days come first" in page.inner_text("#content-main")
    looks_right(tab)

    page.select_option("#id_dates", "day-first")  # the file is held and need not be chosen again
    page.click("text=See what it does")
    page.wait_for_selector("text=There is none of this name here")
    assert page.locator("text=Keep all of it").count() == 0
    looks_right(tab)

    file.write_text(LIST.replace("RX", "RW"))
    page.set_input_files("#id_file", file)
    page.click("text=See what it does")
    page.wait_for_selector("text=Keep all of it")
    looks_right(tab)
    page.click("text=Keep all of it")
    page.wait_for_url("**/admin/guides/lot/")
    assert "From lots.csv: 2 new, 0 changed." in page.inner_text(".messagelist")
    assert set(Lot.objects.values_list("name", flat=True)) == {"RW-078", "RW-091"}
    assert Address.objects.count() == 2
    page.context.close()
