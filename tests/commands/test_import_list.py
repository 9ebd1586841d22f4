"""Lists by command: first what would happen, then all or nothing; and out again."""

from __future__ import annotations

from io import StringIO
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command

from guides.models import Lot, User
from tests.exchange.listed import as_csv, rows
from tests.factories import CoffeeFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def file(tmp_path: Path) -> Path:
    CoffeeFactory(code="RW")
    (tmp_path / "lots.csv").write_bytes(as_csv(rows(3)))
    return tmp_path / "lots.csv"


def run(*arguments: str | Path) -> str:
    out = StringIO()
    call_command(*map(str, arguments), stdout=out, stderr=StringIO())
    return out.getvalue()


def test_looking_keeps_nothing(file: Path) -> None:
    said = run("import_list", "lots", file, "--look")
    assert "Read as CSV, UTF-8, comma." in said
    assert "3 new" in said
    assert Lot.objects.count() == 0


def test_it_is_kept_once_confirmed(file: Path, roaster: User, monkeypatch: pytest.MonkeyPatch) -> None:
    answers = iter(["no", "yes"])
    monkeypatch.setattr("builtins.input", lambda _prompt: next(answers))
    with pytest.raises(CommandError, match="Nothing was kept"):
        run("import_list", "lots", file, "--by", roaster.username)
    assert "Kept: 3 new, 0 changed." in run("import_list", "lots", file, "--by", roaster.username)
    assert "There is nothing to do." in run("import_list", "lots", file, "--by", roaster.username)


def test_changes_are_listed_and_refusals_stop_it(file: Path, roaster: User) -> None:
    run("import_list", "lots", file, "--by", roaster.username, "--yes")
    file.write_bytes(as_csv(rows(3)).replace(b"RW-002,RW,2025-03-01,12.5", b"RW-002,RW,2025-03-01,12.75"))
    assert "green, kg: 12.5 → 12.75" in run("import_list", "lots", file, "--look")
    file.write_bytes(as_csv(rows(4)).replace(b"RW-003,RW,2025-03-01,12.5", b"RW-003,RW,2025-03-01,-1"))
    out = StringIO()
    with pytest.raises(CommandError, match="1 rows are refused"):
        call_command("import_list", "lots", file, "--by", roaster.username, "--yes", stdout=out)
    assert "row 4, column green_kg, “-1”: Green: more than 0 kg." in out.getvalue()
    assert Lot.objects.count() == 3


def test_who_is_asked_for(file: Path, packer: User, tmp_path: Path) -> None:
    with pytest.raises(CommandError, match="Say who"):
        run("import_list", "lots", file)
    with pytest.raises(CommandError, match="Nobody logs in as"):
        run("import_list", "lots", file, "--by", "nobody")
    with pytest.raises(CommandError, match="may not bring in lists"):
        run("import_list", "lots", file, "--by", packer.username, "--yes")
    with pytest.raises(CommandError, match="cannot be read: No such file"):
        run("import_list", "lots", tmp_path / "none.csv", "--look")


def test_out_and_in_again_is_nothing_new(file: Path, roaster: User, tmp_path: Path) -> None:
    run("import_list", "lots", file, "--by", roaster.username, "--yes")
    said = run("export_lists", "--to", tmp_path, "--style", "semicolon")
    assert f"{tmp_path / 'lots.csv'}: 3 rows" in said
    assert "There is nothing to do." in run(
        "import_list", "lots", tmp_path / "lots.csv", "--by", roaster.username, "--decimals", "comma"
    )
    with pytest.raises(CommandError, match="no list called tins"):
        run("export_lists", "tins", "--to", tmp_path)
    with pytest.raises(CommandError, match="cannot be written"):
        run("export_lists", "lots", "--to", tmp_path / "nowhere")
