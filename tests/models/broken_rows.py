"""Rows that break one rule each, of the tables that came with questions, opens, forms and packing runs."""

from __future__ import annotations

import uuid
from collections.abc import Callable
from typing import Any

from django.db.models import Model
from django.utils import timezone

from guides.models import (
    Backup,
    ChangeMark,
    Dispatch,
    GuideOpens,
    HomeBrew,
    PackingRun,
    PageStamp,
    Question,
    RequestCount,
)
from tests.factories import (
    CoffeeFactory,
    GuideFactory,
    LabelStockFactory,
    LotFactory,
    PackingRunFactory,
    PrintFormatFactory,
    UserFactory,
    published,
    ready_run,
)
from tests.factories.green import green_lot, roasted
from tests.factories.programs import issued, told
from tests.factories.questions import asked

Row = Callable[[], Model]


def changed(row: Row, **values: Any) -> Row:
    """A good row with some columns changed, not saved."""

    def make() -> Model:
        made = row()
        for name, value in values.items():
            setattr(made, name, value() if callable(value) else value)
        return made

    return make


def twin(row: Row, **values: Any) -> Row:
    """A second row beside a saved one; ``values`` are what keeps the other columns apart."""

    def make() -> Model:
        made = row()
        made.pk = None
        made._state.adding = True
        for name, value in values.items():
            setattr(made, name, value)
        return made

    return make


def question() -> Question:
    return asked(published())


def opens() -> GuideOpens:
    return GuideOpens.objects.create(guide=GuideFactory(), day=timezone.localdate(), what="page", times=1)


def mark() -> ChangeMark:
    return ChangeMark.objects.create(about="lot", key=999_999, at=timezone.now())


def posts() -> RequestCount:
    now = timezone.now()
    return RequestCount.objects.create(act="ask", client="c" * 32, began_at=now, ends_at=now, times=1)


def reprint() -> PackingRun:
    return PackingRunFactory(reprint_of=PackingRunFactory(), reprint=1)


def in_one_file() -> PackingRun:
    return PackingRunFactory(together=uuid.uuid4())


def counted() -> PackingRun:
    run = ready_run()
    run.state, run.counted_at, run.counted_by = "counted", timezone.now(), UserFactory(role="packer")
    run.printed, run.spoiled, run.left_over, run.packed = 45, 1, 4, 40
    run.save()
    return run


def its_own() -> Question:
    row = question()
    row.state, row.merged_into = "merged", row
    return row


def bags_out(**fields: Any) -> Dispatch:
    return Dispatch(**{"lot": LotFactory(), "outlet": "shelf", "bags": 3, "recorded_by": UserFactory(), **fields})


def home_brew(**fields: Any) -> HomeBrew:
    told = {"language": "en", "dose_g": 15, "grind_um": 700, "brewer": "Cone", "text": "0:12 Pour", **fields}
    return HomeBrew(version=published(), **told)


def backup() -> Backup:
    return Backup.objects.create(file="roastery.zip", made_at=timezone.now(), size_bytes=1, proven_at=timezone.now())


NEWER: dict[str, Row] = {
    "backup_proven_or_faulty": changed(backup, fault="rows differ"),
    "change_mark_once": twin(mark),
    "coffee_digital_link_has_gtin": changed(CoffeeFactory, prints_digital_link=True),
    "dispatch_cafe_has_place": lambda: bags_out(outlet="cafe"),
    "dispatch_some_bags": lambda: bags_out(bags=0),
    "green_lot_recall_complete": changed(green_lot, recalled_at=timezone.now),
    "home_brew_dose_positive": lambda: home_brew(dose_g=0),
    "home_brew_drained_range": lambda: home_brew(drained_s=7201),
    "home_brew_has_text": lambda: home_brew(text=""),
    "label_stock_columns_on_sheet": changed(LabelStockFactory, columns=4),
    "label_stock_count_range": changed(LabelStockFactory, rows=0),
    "label_stock_gaps_range": changed(LabelStockFactory, gutter_x_mm=-1),
    "label_stock_label_size": changed(LabelStockFactory, height_mm=19),
    "label_stock_rows_on_sheet": changed(LabelStockFactory, sheet="letter", top_mm="18.5"),
    "opens_above_zero": changed(opens, times=0),
    "opens_once_a_day": twin(opens),
    "page_stamp_is_one_row": lambda: PageStamp(pk=2, token="another"),
    "print_format_bleed_range": changed(PrintFormatFactory, bleed_mm="5.1"),
    "print_format_height_range": changed(PrintFormatFactory, height_mm=451),
    "print_format_margin_range": changed(PrintFormatFactory, margin_mm="3.9"),
    "print_format_symbol_fits": changed(PrintFormatFactory, symbol_mm="70.1"),
    "print_format_width_range": changed(PrintFormatFactory, width_mm=39, margin_mm=4, symbol_mm=30),
    "question_answer_complete": changed(question, answered_at=timezone.now),
    "question_answered_has_answer": changed(question, state="answered"),
    "question_has_text": changed(question, text=""),
    "question_merged_names_other": changed(question, state="merged"),
    "question_not_its_own": its_own,
    "question_step_from_one": changed(question, step=0),
    "request_count_once": twin(posts),
    "roast_recall_complete": changed(roasted, recalled_at=timezone.now),
    "run_copies_range": changed(PackingRunFactory, copies=0),
    "run_counted_whole": changed(counted, spoiled=None),
    "run_counts_add_up": changed(counted, packed=39),
    "run_difference_with_reason": changed(counted, bags=38),
    "run_leftovers_use_until": changed(PackingRunFactory, leftovers="use"),
    "run_lot_once_together": twin(in_one_file),
    "run_refused_with_reason": changed(PackingRunFactory, state="refused"),
    "run_released_with_file": changed(PackingRunFactory, state="ready"),
    "run_reprint_alone": changed(reprint, together=uuid.uuid4),
    "run_reprint_has_number": changed(PackingRunFactory, reprint=1),
    "run_reprint_number_once": twin(reprint),
    "token_revoked_by_and_at": changed(lambda: issued()[0], revoked_at=timezone.now),
    "webhook_ended_by_and_at": changed(told, ended_at=timezone.now),
}
