"""Bodies are counted while they arrive; rates and delays let honest people through."""

import asyncio

import anyio
import pytest

from grader.web.access import limits
from grader.web.access.limits import (
    FREE_TRIES,
    MAX_DELAY,
    Failures,
    InHand,
    Rates,
    TooLarge,
    TooMany,
    TooSlow,
    read_body,
)


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


def test_a_body_that_trickles_is_given_up():

    async def slow():
        await anyio.sleep(5)
        yield b""

    with pytest.raises(TooSlow):
        asyncio.run(read_body(slow(), None, 10, 0.01))


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


def test_a_whole_class_behind_one_address_gets_in():
    rates = Rates(Clock())
    assert all(rates.wait("request", "10.0.0.1") == 0 for _ in range(600))


def test_failures_delay_more_each_time_and_are_forgotten():
    clock = Clock()
    failures = Failures(clock)
    delays = []
    for _ in range(FREE_TRIES + 6):
        delays.append(failures.delay("K7QM"))
        failures.failed("K7QM")
    assert delays == [0.0] * FREE_TRIES + [1.0, 2.0, 4.0, MAX_DELAY, MAX_DELAY, MAX_DELAY]
    assert failures.delay("OTHER") == 0.0
    clock.now += limits.FORGOTTEN_SECONDS
    assert failures.delay("K7QM") == 0.0
    for _ in range(10_000):
        failures.failed("K7QM")
    assert failures.delay("K7QM") == MAX_DELAY
    failures.cleared("K7QM")
    assert failures.delay("K7QM") == 0.0


def test_one_large_body_each_and_few_at_once():
    async def run():
        hand, order = InHand(), []

        async def send(who, until):
            async with hand.body_of(who, large=True):
                order.append(who)
                await until.wait()

        done = asyncio.Event()
        names = [f"S{number}" for number in range(limits.LARGE_AT_ONCE + 2)]
        tasks = [asyncio.create_task(send(name, done)) for name in names]
        await asyncio.sleep(0)
        assert order == names[: limits.LARGE_AT_ONCE]
        with pytest.raises(TooMany):
            await send("S0", done)
        async with hand.body_of("S0", large=False):  # a typed form of the same student is not held up
            pass
        done.set()
        await asyncio.gather(*tasks)
        assert order == names
        assert not hand._of

    asyncio.run(run())


def test_memory_is_bounded(monkeypatch):
    monkeypatch.setattr(limits, "MAX_KEPT", 10)
    rates, failures = Rates(Clock()), Failures(Clock())
    for number in range(100):
        rates.wait("request", str(number))
        failures.failed(str(number))
    assert len(rates._buckets) == len(failures._last) == 10
