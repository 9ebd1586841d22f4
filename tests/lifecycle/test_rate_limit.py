"""Limits on how often: exact over processes, blind to who it was, and gone when they have passed."""

from __future__ import annotations

import datetime
import json
import os
from collections.abc import Callable

import pytest
import time_machine
from django.db import connection

from guides.jobs import sweeper
from guides.lifecycle import rate_limit
from guides.lifecycle.rate_limit import Rate, TooMany
from guides.models import RequestCount
from guides.queries import contents
from tests.commands.site import Site

NOON = datetime.datetime(2026, 5, 4, 12, 0, 20, tzinfo=datetime.UTC)
PROCESSES, LIMIT = 4, 30
EACH = 100 if os.environ.get("FULL_COUNTS") == "1" else 25

# The sender's address comes through a proxy; what stands left of it is the sender's own invention.
POST = """
import sys
from django.http import HttpResponse
from django.test import RequestFactory
from guides.lifecycle import rate_limit
from roastery.client_address import ClientAddressMiddleware

def view(request):
    try:
        rate_limit.count(rate_limit.Rate.parse("30/day"), "test", request.META["REMOTE_ADDR"])
    except rate_limit.TooMany:
        return HttpResponse(status=429)
    return HttpResponse()

served = ClientAddressMiddleware(view)
print("ready", flush=True)
sys.stdin.readline()
answers = [
    served(RequestFactory().post("/", HTTP_X_FORWARDED_FOR=f"198.51.100.{number}, 203.0.113.7")).status_code
    for number in range(EACH)
]
print(answers.count(200))
"""
IN_MEMORY = """
from collections import Counter
from guides.lifecycle import rate_limit
counts = Counter()
def count(rate, act, address):
    counts[act, address] += 1
    if counts[act, address] > rate.times:
        raise rate_limit.TooMany(1)
rate_limit.count = count
"""


def let_through(site: Site, before: str = "") -> int:
    """Let several processes post at once, and give how many posts were taken."""
    processes = [site.begin(before + POST.replace("EACH", str(EACH)), stdin=True) for _process in range(PROCESSES)]
    for process in processes:
        assert process.stdout.readline() == "ready\n"
    for process in processes:
        process.stdin.write("go\n")
        process.stdin.flush()
    return sum(int(process.communicate(timeout=120)[0]) for process in processes)


@pytest.mark.django_db
@pytest.mark.data
def test_the_limit_is_exact_over_processes_with_forged_forwarding(new_site: Callable[[], Site]) -> None:
    site = new_site()
    site.set_up()
    taken = let_through(site)
    rows = json.loads(
        site.run("import json; from guides.models import RequestCount as R; print(json.dumps(R.objects.count()))")
    )
    off = let_through(site, IN_MEMORY)
    posts = PROCESSES * EACH
    print(f"{connection.vendor}: {taken} of {posts} posts taken by {PROCESSES} processes; counted in memory: {off}")
    assert taken == LIMIT
    assert rows == 1
    assert off > LIMIT, "the negative control should let more through"


@pytest.mark.django_db
@pytest.mark.data
class TestCounting:
    def test_the_next_stretch_starts_afresh_and_says_when(self) -> None:
        rate = Rate.parse("2/min")
        with time_machine.travel(NOON, tick=False) as clock:
            for _time in range(2):
                rate_limit.count(rate, "test", "203.0.113.7")
            with pytest.raises(TooMany) as refused:
                rate_limit.count(rate, "test", "203.0.113.7")
            assert refused.value.retry_after_s == 40
            rate_limit.count(rate, "test", "203.0.113.8")
            rate_limit.count(rate, "other", "203.0.113.7")
            clock.shift(refused.value.retry_after_s)
            rate_limit.count(rate, "test", "203.0.113.7")

    def test_a_minute_and_an_hour_are_counted_apart(self) -> None:
        with time_machine.travel(NOON.replace(second=0), tick=False):
            rate_limit.count(Rate.parse("1/min"), "test", "203.0.113.7")
            rate_limit.count(Rate.parse("1/hour"), "test", "203.0.113.7")
            with pytest.raises(TooMany):
                rate_limit.count(Rate.parse("1/hour"), "test", "203.0.113.7")

    def test_a_household_is_one_sender_over_all_its_addresses(self) -> None:
        rate = Rate.parse("1/day")
        rate_limit.count(rate, "test", "2001:db8:0:7::1")
        with pytest.raises(TooMany):
            rate_limit.count(rate, "test", "2001:db8:0:7:a:b:c:d")
        rate_limit.count(rate, "test", "2001:db8:0:8::1")
        rate_limit.count(rate, "test", "::ffff:203.0.113.7")
        with pytest.raises(TooMany):
            rate_limit.count(rate, "test", "203.0.113.7")

    def test_nothing_kept_tells_who_it_was_or_ties_two_days_together(self) -> None:
        with time_machine.travel(NOON, tick=False) as clock:
            for _day in range(2):
                rate_limit.count(Rate.parse("9/hour"), "test", "203.0.113.7")
                clock.shift(86_400)
            kept = list(RequestCount.objects.values_list("client", flat=True))
        assert len(set(kept)) == len(kept)
        assert not any("203" in client for client in kept)

    def test_a_site_that_has_only_counted_posts_is_still_empty(self) -> None:
        """A backup can be restored into it."""
        rate_limit.count(Rate.parse("9/hour"), "test", "203.0.113.7")
        assert contents.found() is contents.Contents.NOTHING

    def test_what_has_passed_is_swept(self) -> None:
        with time_machine.travel(NOON, tick=False) as clock:
            rate_limit.count(Rate.parse("9/min"), "test", "203.0.113.7")
            sweeper.sweep()
            assert RequestCount.objects.exists()
            clock.shift(180)
            sweeper.sweep()
            assert not RequestCount.objects.exists()


@pytest.mark.parametrize("text", ["", "30", "0/min", "-1/min", "1/fortnight", "1.5/min", "min/30", "²/min"])
def test_a_rate_that_is_none_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match="is no rate"):
        Rate.parse(text)
