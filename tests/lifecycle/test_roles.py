"""Who may do what: every act of this room × every role, and nothing else."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from django.contrib.auth.models import Permission
from django.utils import timezone

from guides.choices import Outlet, State
from guides.lifecycle import (
    merge_coffees,
    new_lot,
    roles,
    snapshot,
    tokens,
    transitions,
    trial_photo,
    trials,
    webhooks,
    words_only,
)
from guides.lifecycle import sites as site_record
from guides.lifecycle.approve import approve
from guides.lifecycle.assign import assign, hold, release
from guides.lifecycle.bring_in import bring_in
from guides.lifecycle.dispatch import dispatch
from guides.lifecycle.draft import open_next
from guides.lifecycle.errors import Refused
from guides.lifecycle.explain_loss import explain
from guides.lifecycle.from_trial import open_from_trial
from guides.lifecycle.go_back import go_back
from guides.lifecycle.lots import register
from guides.lifecycle.packing import cancel, count, make_again, order, order_together, reprint, settle
from guides.lifecycle.publish import publish
from guides.lifecycle.questions import answer, merge, note, remove, sort
from guides.lifecycle.recall import recall, recall_all
from guides.lifecycle.resolve import resolve
from guides.lifecycle.retire import retire
from guides.lifecycle.review import send_back, submit
from guides.lifecycle.schedule import call_off, schedule
from guides.lifecycle.sign_off import sign_off
from guides.lifecycle.step_media import PictureKept
from guides.lifecycle.tastings.open import open_tasting
from guides.lifecycle.tastings.reveal import reveal
from guides.lifecycle.withdraw import withdraw
from guides.models import (
    ApiToken,
    Event,
    GuideVersion,
    Lot,
    PackingRun,
    Question,
    TrialBrew,
    User,
    VersionText,
    Webhook,
)
from tests.factories import (
    CoffeeFactory,
    GuideVersionFactory,
    LotFactory,
    PackingRunFactory,
    ReviewCommentFactory,
    SiteFactory,
    TrialBrewFactory,
    UserFactory,
    published,
    ready_run,
)
from tests.factories.green import green_lot
from tests.factories.packed import packed
from tests.factories.programs import issued, told
from tests.factories.questions import answered, asked
from tests.factories.sites import learning
from tests.factories.tastings import tasted

pytestmark = pytest.mark.django_db

ROLES = ["roaster", "publisher", "packer", "shop", "reader", None]
Act = Callable[[User], object]


def in_review() -> GuideVersion:
    draft = GuideVersionFactory()
    return submit(draft, by=draft.created_by)


def assigned() -> object:
    version = published()
    return assign(LotFactory(coffee=version.guide.coffee), version.guide, by=UserFactory(role="roaster"))


def held() -> object:
    return hold(assigned(), by=UserFactory(role="roaster"), reason="Drains late.")


def assigning() -> Act:
    version = published()
    lot = LotFactory(coffee=version.guide.coffee)
    return lambda by: assign(lot, version.guide, by=by)


def approved() -> GuideVersion:
    return approve(in_review(), by=UserFactory(role="publisher"), waiver_reason="Brewed.")


def scheduled() -> GuideVersion:
    return schedule(approved(), by=UserFactory(role="publisher"), publish_at=TOMORROW)


def translated() -> GuideVersion:
    draft = open_next(published().guide, by=UserFactory(role="roaster"))
    VersionText.objects.create(version=draft, language="sv", title="Outer Mark i Mast")
    return draft


def superseded() -> GuideVersion:
    first = published()
    published(open_next(first.guide, by=UserFactory(role="roaster")))
    return first


def aside() -> TrialBrew:
    return trials.set_aside(TrialBrewFactory(), by=UserFactory(role="roaster"), reason="The paper folded.")


def judged(late_s: int) -> TrialBrew:
    version = GuideVersion.objects.get(pk=published().pk)
    window = snapshot.read(version).assessment.drained
    brew = TrialBrewFactory(of=version, drained_s=round(window.high) + late_s)
    new_lot.suggestion(brew, new_lot.verdict(brew))  # who looked at the brew has seen it, and what it taught is kept
    return brew


def unordered_run() -> PackingRun:
    lot, version = packed()
    return PackingRun(lot=lot, version=version, language="en", paper="insert-a6", copies=45)


def left_over_run() -> PackingRun:
    counts, until = count.Counts(printed=45, spoiled=0, left_over=5, packed=40), timezone.localdate()
    return count.count(ready_run(), counts, by=UserFactory(role="packer"), leftovers="use", use_until=until)


def question() -> Question:
    return asked(published())


def two_alike() -> tuple[Question, Question]:
    first = question()
    return first, asked(first.version)


def kept_private() -> Question:
    return sort.keep_private(question(), by=UserFactory(role="roaster"))


TOMORROW = timezone.now() + timezone.timedelta(days=1)
WRITERS, PUBLISHERS, PRINTERS = {"roaster", "publisher"}, {"publisher"}, {"roaster", "publisher", "packer"}
TELLERS, HOOK = {"publisher", "shop"}, "https://shop.example/hooks"
ALL_PACKED = count.Counts(printed=45, spoiled=0, left_over=0, packed=45)
PHOTO = PictureKept("a" * 32, "b" * 64, 640, 420, (640,), {"en": "An even bed."})
# What each act needs, made before anybody tries it; and who may.
ACTS: dict[str, tuple[Callable[[], Act], set[str]]] = {
    "open_next": (lambda: (lambda v: lambda by: open_next(v.guide, by=by))(published()), WRITERS),
    "open_from_trial": (lambda: (lambda b: lambda by: open_from_trial(b, by=by))(TrialBrewFactory(of=published())),
                        WRITERS),
    "submit": (lambda: (lambda v: lambda by: submit(v, by=by))(GuideVersionFactory()), WRITERS),
    "send_back": (lambda: (lambda v: lambda by: send_back(v, by=by, reason="Cooler."))(in_review()), WRITERS),
    "publish": (lambda: (lambda v: lambda by: publish(v, by=by, waiver_reason="Brewed."))(in_review()), PUBLISHERS),
    "approve": (lambda: (lambda v: lambda by: approve(v, by=by, waiver_reason="Brewed."))(in_review()), PUBLISHERS),
    "schedule": (lambda: (lambda v: lambda by: schedule(v, by=by, publish_at=TOMORROW))(approved()), PUBLISHERS),
    "call_off": (lambda: (lambda v: lambda by: call_off(v, by=by, reason="Not yet."))(scheduled()), PUBLISHERS),
    "words_only.publish": (lambda: (lambda v: lambda by: words_only.publish(v, by=by))(translated()), PUBLISHERS),
    "go_back": (lambda: (lambda v: lambda by: go_back(v, by=by))(superseded()), WRITERS),
    "resolve": (lambda: (lambda c: lambda by: resolve(c, by=by))(ReviewCommentFactory()), WRITERS),
    "retire": (lambda: (lambda v: lambda by: retire(v.guide, by=by, reason="Old."))(published()), PUBLISHERS),
    "merge_coffees.merge": (lambda: (lambda a, b: lambda by: merge_coffees.merge(a, b, by=by, reason="Entered twice."))(
                                CoffeeFactory(), CoffeeFactory()), PUBLISHERS),
    "withdraw": (lambda: (lambda v: lambda by: withdraw(v, by=by, reason="Old."))(published()), PUBLISHERS),
    "register": (lambda: (lambda lot: lambda by: register(lot, by=by))(LotFactory.build(coffee=CoffeeFactory())),
                 WRITERS),
    "bring_in": (lambda: (lambda lot: lambda by: bring_in(Lot, [lot], [], by=by, source="lots.csv"))(
                              LotFactory.build(coffee=CoffeeFactory())), WRITERS),
    "recall": (lambda: (lambda lot: lambda by: recall(lot, by=by, reason="A screw."))(LotFactory()), PUBLISHERS),
    "trials.log": (lambda: (lambda b: lambda by: trials.log(b, by=by))(TrialBrewFactory(of=published())), WRITERS),
    "set_aside": (lambda: (lambda b: lambda by: trials.set_aside(b, by=by, reason="Folded."))(TrialBrewFactory()),
                  WRITERS),
    "take_back": (lambda: (lambda b: lambda by: trials.take_back(b, by=by))(aside()), WRITERS),
    "trial_photo.show": (lambda: (lambda b: lambda by: trial_photo.show(b, PHOTO, by=by))(TrialBrewFactory()), WRITERS),
    "inherit": (lambda: (lambda b: lambda by: new_lot.inherit(b, by=by))(judged(-5)), WRITERS),
    "hold_and_adjust": (lambda: (lambda b: lambda by: new_lot.hold_and_adjust(b, by=by))(judged(25)), WRITERS),
    "new_lot.keep": (lambda: (lambda b: lambda by: new_lot.keep(b, by=by, reason="Alike."))(judged(25)), WRITERS),
    "recall.recall_all": (lambda: (lambda g: lambda by: recall_all(g, by=by, reason="A screw."))(green_lot()),
                          PUBLISHERS),
    "dispatch": (lambda: (lambda lot: lambda by: dispatch(lot, Outlet.SHELF, 12, by=by))(LotFactory()), PRINTERS),
    "assign": (assigning, WRITERS),
    "hold": (lambda: (lambda a: lambda by: hold(a, by=by, reason="Late."))(assigned()), WRITERS),
    "release": (lambda: (lambda a: lambda by: release(a, by=by))(held()), WRITERS),
    "packing.order": (lambda: (lambda r: lambda by: order.order(r, by=by))(unordered_run()), PRINTERS),
    "packing.order_together": (lambda: (lambda r: lambda by: order_together.order_together(r, by=by))(
                                   [unordered_run(), unordered_run()]), PRINTERS),
    "packing.reprint": (lambda: (lambda r: lambda by: reprint.reprint(r, 3, by=by))(ready_run()), PRINTERS),
    "packing.cancel": (lambda: (lambda r: lambda by: cancel.cancel(r, by=by))(PackingRunFactory()), PRINTERS),
    "packing.make_again": (lambda: (lambda r: lambda by: make_again.make_again(r, by=by))(PackingRunFactory()),
                           PRINTERS),
    "tokens.issue": (lambda: (lambda by: tokens.issue(ApiToken(name="shop", scopes=[]), by=by)), PUBLISHERS),
    "tokens.revoke": (lambda: (lambda t: lambda by: tokens.revoke(t, by=by))(issued()[0]), PUBLISHERS),
    "webhooks.add": (lambda: (lambda by: webhooks.add(Webhook(url=HOOK, about=["lot.recalled"]), by=by)), TELLERS),
    "webhooks.try_out": (lambda: (lambda w: lambda by: webhooks.try_out(w, by=by))(told()), TELLERS),
    "webhooks.end": (lambda: (lambda w: lambda by: webhooks.end(w, by=by))(told()), TELLERS),
    "packing.count": (lambda: (lambda r: lambda by: count.count(r, ALL_PACKED, by=by))(ready_run()), PRINTERS),
    "packing.settle": (lambda: (lambda r: lambda by: settle.settle(r, "destroy", by=by))(left_over_run()), PRINTERS),
    "questions.answer": (lambda: (lambda q: lambda by: answer.answer(q, by=by, shown="Why?", answer="So."))(question()),
                         WRITERS),
    "questions.note.into_why": (lambda: (lambda q: lambda by: note.into_why(q, by=by, why="It lets the gas out.",
                                                                             replace=True))(answered(published())),
                                WRITERS),
    "questions.merge": (lambda: (lambda q, into: lambda by: merge.merge(q, into, by=by))(*two_alike()), WRITERS),
    "questions.sort.keep_private": (lambda: (lambda q: lambda by: sort.keep_private(q, by=by))(question()), WRITERS),
    "questions.sort.mark_spam": (lambda: (lambda q: lambda by: sort.mark_spam(q, by=by))(question()), WRITERS),
    "questions.sort.reopen": (lambda: (lambda q: lambda by: sort.reopen(q, by=by))(kept_private()), WRITERS),
    "questions.remove": (lambda: (lambda q: lambda by: remove.remove(q, by=by))(question()), WRITERS),
    "tastings.open.open_tasting": (lambda: (lambda lots: lambda by: open_tasting("preference", "Crops", lots, by=by))(
        LotFactory.create_batch(2)), WRITERS),
    "tastings.reveal": (lambda: (lambda t: lambda by: reveal(t, by=by))(tasted()), WRITERS),
    "sign_off": (lambda: (lambda s: lambda by: sign_off(*s, by=by))(learning()), WRITERS),
    "sites.record": (lambda: (lambda s: lambda by: site_record.record(s, by=by, is_new=True, fields={}))(SiteFactory()),
                     WRITERS),
    "explain": (lambda: (lambda lot: lambda by: explain(lot, by=by, reason="A dry crop."))(LotFactory()), WRITERS),
}  # fmt: skip


@pytest.mark.parametrize("role", ROLES)
@pytest.mark.parametrize("name", ACTS)
def test_every_act_knows_who_may(name: str, role: str | None) -> None:
    ready, allowed = ACTS[name]
    act, by = ready(), UserFactory(role=role)
    events = Event.objects.count()
    if role in allowed:
        act(by)
        assert Event.objects.count() > events
    else:
        with pytest.raises(Refused, match=r"may not .*: their groups do not allow it"):
            act(by)
        assert Event.objects.count() == events


def test_an_owner_may_do_all() -> None:
    publish(in_review(), by=UserFactory(is_superuser=True), waiver_reason="Brewed.")


def test_somebody_who_left_may_do_nothing() -> None:
    with pytest.raises(Refused, match="may not publish guides"):
        publish(in_review(), by=UserFactory(role="publisher", is_active=False), waiver_reason="Brewed.")


def test_a_publisher_may_do_all_that_a_roaster_may() -> None:
    assert roles.GROUPS["roaster"] < roles.GROUPS["publisher"]


def test_every_permission_named_exists() -> None:
    known = set(Permission.objects.filter(content_type__app_label="guides").values_list("codename", flat=True))
    for name, codenames in roles.GROUPS.items():
        assert codenames <= known, name


@pytest.mark.parametrize("role", ["packer", "shop", "reader"])
def test_these_change_nothing(role: str) -> None:
    assert not [name for name in roles.GROUPS[role] if name.split("_")[0] in ("add", "change", "delete", "publish")]


def test_nobodys_group_reaches_log_ins_or_the_trail() -> None:
    for codenames in roles.GROUPS.values():
        assert not {name for name in codenames if name.endswith("_user")}
        assert not {name for name in codenames if name.endswith(("_event", "_address", "_jobrun"))} - {
            "view_event", "view_address", "view_jobrun",
        }  # fmt: skip


def test_groups_of_the_sites_own_are_left_alone() -> None:
    own = roles.Group.objects.create(name="tasters")
    own.permissions.add(Permission.objects.get(codename="view_coffee", content_type__app_label="guides"))
    roles.install("default")
    assert own.permissions.count() == 1


def test_may_asks_for_any_one_permission() -> None:
    roaster = UserFactory(role="roaster")
    assert roles.may(roaster, transitions.SEND_BACK)
    assert not roles.may(roaster, transitions.PUBLISH)


@pytest.mark.parametrize("state", State)
def test_the_table_leads_on_from_every_state_but_the_last(state: State) -> None:
    leads = {transition.target for transition in transitions.legal(GuideVersion(state=state))}
    assert (
        leads
        == {
            State.DRAFT: {State.DRAFT, State.IN_REVIEW},
            State.IN_REVIEW: {State.IN_REVIEW, State.DRAFT, State.PUBLISHED},
            State.PUBLISHED: {State.WITHDRAWN},
            State.WITHDRAWN: set(),
        }[state]
    )
