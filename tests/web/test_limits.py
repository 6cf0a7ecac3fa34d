"""Bodies are counted while they arrive; rates and locks let honest people through."""

import asyncio

import anyio
import pytest

from grader.web.access import limits
from grader.web.access.limits import LOCK_AFTER, LOCK_SECONDS, Locks, Rates, TooLarge, TooSlow, read_body


class Clock:
    def __init__(self):
        self.now = 1000.0

    def __call__(self):
        return self.now


async def pieces(*chunks):
    for chunk in chunks:
        yield chunk


def test_a_body_within_the_limit_is_read_whole():
    assert asyncio.run(read_body(pieces(b"ab", b"cd"), None, 4)) == b"abcd"
    assert asyncio.run(read_body(pieces(), "0", 0)) == b""


def test_a_body_announced_too_large_is_not_read_at_all():
    async def poisoned():
        raise AssertionError("read")
        yield b""

    with pytest.raises(TooLarge):
        asyncio.run(read_body(poisoned(), "5", 4))
    with pytest.raises(TooLarge):
        asyncio.run(read_body(poisoned(), "9" * 5000, 4))


def test_a_body_that_lies_about_its_size_is_cut_while_it_arrives():
    taken = []

    async def endless():
        while True:
            taken.append(1)
            yield b"x" * 1000

    with pytest.raises(TooLarge):
        asyncio.run(read_body(endless(), "10", 5000))
    assert len(taken) == 6


def test_a_body_that_trickles_is_given_up(monkeypatch):
    monkeypatch.setattr(limits, "BODY_SECONDS", 0.01)

    async def slow():
        await anyio.sleep(5)
        yield b""

    with pytest.raises(TooSlow):
        asyncio.run(read_body(slow(), None, 10))


def test_a_rate_allows_its_burst_then_its_pace():
    clock = Clock()
    rates = Rates(clock)
    burst, every = limits.RATES["submit"]
    assert [rates.wait("submit", "S1") for _ in range(burst)] == [0.0] * burst
    assert rates.wait("submit", "S1") == pytest.approx(every)
    assert rates.wait("submit", "S2") == 0.0
    clock.now += every
    assert rates.wait("submit", "S1") == 0.0
    assert rates.wait("submit", "S1") > 0


def test_looking_takes_no_turn():
    rates = Rates(Clock())
    for _ in range(1000):
        assert rates.exhausted("wrong code", "a") == 0.0


def test_a_whole_class_behind_one_address_gets_in():
    rates = Rates(Clock())
    assert all(rates.wait("enter", "10.0.0.1") == 0 for _ in range(50))
    assert all(rates.wait("request", "10.0.0.1") == 0 for _ in range(600))


def test_locks_come_after_repeated_failures_last_longer_each_time_and_clear():
    clock = Clock()
    locks = Locks(clock)
    for _ in range(LOCK_AFTER - 1):
        locks.failed("K7QM")
    assert locks.seconds("K7QM") == 0
    locks.failed("K7QM")
    assert locks.seconds("K7QM") == LOCK_SECONDS
    assert locks.seconds("OTHER") == 0
    clock.now += LOCK_SECONDS
    assert locks.seconds("K7QM") == 0
    for _ in range(LOCK_AFTER):
        locks.failed("K7QM")
    assert locks.seconds("K7QM") == 2 * LOCK_SECONDS
    for _ in range(100 * LOCK_AFTER):
        locks.failed("K7QM")
    assert locks.seconds("K7QM") == limits.MAX_LOCK
    locks.cleared("K7QM")
    assert locks.seconds("K7QM") == 0


def test_memory_is_bounded(monkeypatch):
    monkeypatch.setattr(limits, "MAX_KEPT", 10)
    rates, locks = Rates(Clock()), Locks(Clock())
    for number in range(100):
        rates.wait("request", str(number))
        locks.failed(str(number))
    assert len(rates._buckets) == len(locks._failures) == 10
