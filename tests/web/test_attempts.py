"""Attempts that arrive together are written together, and each of them by the rules."""

import asyncio
import re

from msgspec.structs import replace

from grader.web.attempts import Late
from grader.web.data.records import Attempt, new_id
from tests.web.conftest import SHEET


def test_two_attempts_written_together_never_exceed_the_limit(make_site, clock):
    site = make_site(attempts=1)

    async def both():
        made = [
            Attempt(id=new_id(), sheet=SHEET, student="S0001", number=0, at=clock.now, form=form, answers=())
            for form in "ab"
        ]
        return await asyncio.gather(*(site.register.keep(one, b"") for one in made), return_exceptions=True)

    kept, late = asyncio.run(both())
    assert [attempt.id for attempt in site.store.all_attempts(SHEET)] == [kept]
    assert isinstance(late, Late)
    assert late.sentence == "The one attempt has been made."


def test_where_another_server_took_the_number_the_rules_are_asked_again(make_site, browser, codes, monkeypatch):
    site = make_site(attempts=1)
    own = browser(site, codes["S0001"])
    add, once = site.store.add, []

    def raced(new):
        if not once:
            once.append(True)
            ((attempt, content),) = new
            add([(replace(attempt, id=new_id(), form="another's"), content)])
        add(new)

    monkeypatch.setattr(site.store, "add", raced)
    assert own.answer({"gate.tau": "8 ms"}).status_code == 409
    assert len(site.store.all_attempts(SHEET)) == 1


def test_a_database_that_fails_is_told_to_everybody_who_waits(make_site, clock, monkeypatch):
    site = make_site()
    made = Attempt(id=new_id(), sheet=SHEET, student="S0001", number=0, at=clock.now, answers=())

    def broken(_new):
        raise OSError

    async def once():
        return await asyncio.gather(site.register.keep(made, b""), return_exceptions=True)

    with monkeypatch.context() as patched:
        patched.setattr(site.store, "add", broken)
        assert isinstance(asyncio.run(once())[0], OSError)
    assert asyncio.run(once()) == [made.id]


def test_a_crowd_is_written_in_few_commits_and_every_attempt_is_there(make_site, clock, monkeypatch):
    site = make_site()
    add, sizes = site.store.add, []

    def counted(new):
        sizes.append(len(new))
        add(new)

    monkeypatch.setattr(site.store, "add", counted)

    async def crowd():
        made = [
            Attempt(id=new_id(), sheet=SHEET, student=f"S{k:04}", number=0, at=clock.now, form="f", answers=())
            for k in range(50)
        ]
        return await asyncio.gather(*(site.register.keep(one, b"") for one in made))

    kept = asyncio.run(crowd())
    assert sorted(attempt.id for attempt in site.store.all_attempts(SHEET)) == sorted(kept)
    assert sum(sizes) == 50
    assert len(sizes) <= 2


def test_a_form_sent_twice_in_the_same_instant_is_one_attempt(make_site, clock):
    site = make_site()

    async def twice():
        made = [
            Attempt(id=new_id(), sheet=SHEET, student="S0001", number=0, at=clock.now, form="f", answers=())
            for _ in range(2)
        ]
        return await asyncio.gather(*(site.register.keep(one, b"") for one in made))

    first, second = asyncio.run(twice())
    assert first == second
    assert [attempt.id for attempt in site.store.all_attempts(SHEET)] == [first]


def test_a_page_that_promised_another_number_counts_nothing_until_it_is_sent_again(site, student):
    path = f"/sheets/{SHEET}"
    first, second = (re.search(r'name="next" value="(\d+)"', student.get(path).text)[1] for _ in range(2))
    assert (first, second) == ("1", "1")
    assert student.answer({"gate.tau": "9 ms"}, next=first, form="one").url.path.startswith("/attempts/")
    again = student.answer({"gate.tau": "9 ms"}, next=first, form="one")  # the same form twice is one attempt
    assert again.url.path.startswith("/attempts/")
    stale = student.answer({"gate.tau": "10 ms"}, next=second, form="two")
    assert stale.status_code == 409
    assert "You have made attempt 1 meanwhile; this will be attempt 2." in stale.text
    assert 'value="10 ms"' in stale.text
    assert len(site.store.all_attempts(SHEET)) == 1
    promised = re.search(r'name="next" value="(\d+)"', stale.text)[1]
    assert student.answer({"gate.tau": "10 ms"}, next=promised, form="three").url.path.startswith("/attempts/")
