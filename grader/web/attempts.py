"""An attempt from marks to what is kept: the rules checked, all that wait committed together, before anybody is told."""

import asyncio
from collections.abc import Callable, Iterable
from typing import NamedTuple

import anyio.to_thread
from msgspec.structs import replace

from grader.web.data.records import Attempt, Made
from grader.web.data.store import AlreadyTaken, Store
from grader.web.rules import Rules, standing

TRIES = 5
"""Another server on the same database may take a number first; then all look again."""

MEANWHILE = "You have made attempt {} meanwhile; this will be attempt {}. Look at both, then submit it again."


class Late(Exception):
    """No attempt may be made now; ``sentence`` says why."""

    def __init__(self, sentence: str) -> None:
        super().__init__(sentence)
        self.sentence = sentence


class _Waiting(NamedTuple):
    attempt: Attempt
    content: bytes
    kept: asyncio.Future[str]


class AttemptWriter:
    """Where attempts are entered.  Those that arrive while others are written wait, and are then written together."""

    def __init__(self, store: Store, rules_for: Callable[[str], Rules]) -> None:
        self._store, self._rules_for = store, rules_for
        self._waiting: list[_Waiting] = []
        self._writing: asyncio.Task[None] | None = None

    async def keep(self, attempt: Attempt, content: bytes) -> str:
        """Keep an attempt and the file it came in; gives back its id once it is committed.

        Its number is given here; one that it brings is what its student expects, 0 if they expect none.

        A form sent twice with the same answers is one attempt: the id is that of the first.

        Raises
        ------
        Late
            If the rules allow no attempt at the time the request arrived.
        """
        waiting = _Waiting(attempt, content, asyncio.get_running_loop().create_future())
        self._waiting.append(waiting)
        if self._writing is None:
            self._writing = asyncio.create_task(self._write_all())
        return await waiting.kept

    async def _write_all(self) -> None:
        try:
            while self._waiting:
                batch, self._waiting = self._waiting, []
                try:
                    outcomes = await anyio.to_thread.run_sync(self._write, batch)
                except Exception as error:  # noqa: BLE001 - whoever waits must hear of it
                    outcomes = [error] * len(batch)
                for waiting, outcome in zip(batch, outcomes, strict=True):
                    if waiting.kept.done():
                        continue
                    if isinstance(outcome, str):
                        waiting.kept.set_result(outcome)
                    else:
                        waiting.kept.set_exception(outcome)
        finally:
            self._writing = None

    def _write(self, batch: list[_Waiting]) -> list[str | Exception]:
        """Ids, or why there is none, in the order of the batch."""
        for _ in range(TRIES):
            outcomes, new = self._numbered(batch)
            try:
                self._store.add(new)
            except AlreadyTaken:
                continue
            return outcomes
        late = "Another attempt of yours arrived at the same moment. Look at it first, then send this one again."
        return [Late(late)] * len(batch)

    def _numbered(self, batch: list[_Waiting]) -> tuple[list[str | Exception], list[tuple[Attempt, bytes]]]:
        """What becomes of each, and those that are to be written."""
        sheets = {waiting.attempt.sheet for waiting in batch}
        states = {sheet: self._store.state(sheet) for sheet in sheets}
        made = {sheet: self._store.made_by(sheet, _students(batch, sheet)) for sheet in sheets}
        outcomes: list[str | Exception] = []
        new: list[tuple[Attempt, bytes]] = []
        for attempt, content, _ in batch:
            past = made[attempt.sheet].setdefault(attempt.student, [])
            same = next((one.id for one in past if one.form == attempt.form), None)
            refusal = standing(self._rules_for(attempt.student), states[attempt.sheet], attempt.at, past).refusal
            if same is not None:
                outcomes.append(same)
            elif refusal:
                outcomes.append(Late(refusal))
            elif attempt.number not in (0, len(past) + 1):
                outcomes.append(Late(MEANWHILE.format(len(past), len(past) + 1)))
            else:
                outcomes.append(attempt.id)
                new.append((replace(attempt, number=len(past) + 1), content))
                past.append(Made(attempt.id, attempt.form, attempt.at))
        return outcomes, new


def _students(batch: Iterable[_Waiting], sheet: str) -> set[str]:
    return {waiting.attempt.student for waiting in batch if waiting.attempt.sheet == sheet}
