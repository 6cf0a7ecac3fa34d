"""A site on an invented rubric and roster, and browsers that call it in process."""

import asyncio
import pickle
import re
from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, datetime, timedelta
from pathlib import Path

import httpx
import pytest

from grader.jobs.pool import JobResult
from grader.jobs.worker import all_messages, failure_of
from grader.marking.key import build_key
from grader.rubric.files import load_rubric
from grader.uploads.roster import Roster
from grader.uploads.upload import Student
from grader.web.access.codes import hashed, issue, write_records
from grader.web.access.sessions import Signer
from grader.web.app import build_app
from grader.web.data.store import Store
from grader.web.rules import Rules
from grader.web.sheets import build_sheet
from grader.web.site import AppState
from grader.web.work import make, shelf_of
from grader.web.workers import JobFailed

RUBRIC = Path(__file__).with_name("lock_gate.toml")
SHEET = "lock-gate"
PASSPHRASE = "lift the gate gently"
ROSTER = Roster(
    students=(
        Student(id="S0001", name="Ada Invented", section="1"),
        Student(id="S0002", name="Bo Invented", section="1"),
        Student(id="S0003", name="Cy Invented", section="2"),
    )
)
RIGHT = {
    "gate.before": "18/11 A", "gate.start": "18/11 A", "gate.end": "2 A", "gate.rth": "8 ohm", "gate.tau": "10 ms",
    "gate.i": "2 - 4/11 e^(-100t) A", "lamp.v0": "0 V", "lamp.vend": "9 V", "lamp.tau": "1.034 s", "lamp.i0": "191.5 uA",
    "lamp.v": "9(1 - e^(-t/1.034)) V", "lamp.safe": "the charged capacitor",
}  # fmt: skip


class Here:
    """Does in this process what the workers do: quick to have, for tests that are about something else."""

    def __init__(self, keys, roster):
        self._handle = make(shelf_of(keys, b"v" * 32, roster))

    async def done(self, job, *, long=False):  # noqa: ARG002 - as the real ones are called
        return self.do(job)

    def do(self, job):
        try:
            with ThreadPoolExecutor(1) as apart:  # as in a worker, no event loop runs where this is done
                (answer,) = apart.submit(list, all_messages(self._handle(pickle.loads(pickle.dumps(job))))).result()
        except Exception as fault:  # noqa: BLE001 - as the real ones do
            raise JobFailed(JobResult(job, (), failure_of(fault))) from None
        return pickle.loads(pickle.dumps(answer))


class Clock:
    """Stands still until told to go on; serves as time of day and as monotonic seconds."""

    def __init__(self):
        self.now = datetime(2026, 3, 2, 12, 0, tzinfo=UTC)

    def __call__(self):
        return self.now

    def seconds(self):
        return self.now.timestamp()

    def forward(self, seconds):
        self.now += timedelta(seconds=seconds)


class Browser:
    """Keeps cookies, follows redirections, fills in tokens."""

    def __init__(self, site, address="10.1.2.3"):
        self._runner = asyncio.Runner()
        transport = httpx.ASGITransport(build_app(site), client=(address, 5000))
        self.http = httpx.AsyncClient(transport=transport, base_url="http://lock.test", follow_redirects=True)
        self.seen = []

    def _run(self, request):
        response = self._runner.run(request)
        self.seen.append(response)
        return response

    def get(self, path, **options):
        return self._run(self.http.get(path, **options))

    def post(self, path, data=None, **options):
        return self._run(self.http.post(path, data=data, **options))

    def token(self, path="/enter"):
        return re.search(r'name="token" value="(\w+)"', self.get(path).text)[1]

    def send(self, path, data=None, page=None, **options):
        """Post a form of a page, with the token that is on it."""
        return self.post(path, data={"token": self.token(page or path), **(data or {})}, **options)

    def enter(self, code):
        return self.send("/enter", {"code": code})

    def answer(self, answers, do="submit", sheet=SHEET, **more):
        path = f"/sheets/{sheet}"
        page = self.get(path).text
        fields = {"token": re.search(r'name="token" value="(\w+)"', page)[1], "do": do, **more}
        fields.setdefault("form", re.search(r'name="form" value="([\w-]+)"', page)[1])
        return self.post(path, data={**fields, **{f"answer:{name}": text for name, text in answers.items()}})

    def close(self):
        self._runner.run(self.http.aclose())
        self._runner.close()


@pytest.fixture(scope="session")
def key():
    return build_key(load_rubric(RUBRIC))


@pytest.fixture
def clock():
    return Clock()


@pytest.fixture(scope="session")
def issued():
    """Codes for the roster, made once: each costs a hash."""
    return issue([student.id for student in ROSTER.students], ())


@pytest.fixture(scope="session")
def passphrase_hash():
    return hashed(PASSPHRASE, 4)


@pytest.fixture
def codes(issued):
    return issued[0]


@pytest.fixture
def make_site(tmp_path, key, clock, issued, passphrase_hash):
    sites = []

    def make(*, keys=None, tls=False, database=None, roster=ROSTER, workers=None, **rules):
        write_records(tmp_path, issued[1])
        keys = keys or {SHEET: key}
        site = AppState(
            sheets={name: build_sheet(one, name) for name, one in keys.items()},
            roster=roster,
            store=Store(database or f"sqlite:///{tmp_path}/attempts.sqlite"),
            rules=Rules(**rules),
            signer=Signer(b"k" * 32),
            passphrase=passphrase_hash,
            workers=workers or Here(keys, roster),
            folder=tmp_path,
            tls=tls,
            now=clock,
            seconds=clock.seconds,
        )
        sites.append(site)
        return site

    yield make
    for site in sites:
        site.store.close()


@pytest.fixture
def site(make_site):
    return make_site()


@pytest.fixture
def browser():
    """Makes browsers on a site, entered as a student where a code is given."""
    opened = []

    def make(site, code=None, **options):
        one = Browser(site, **options)
        opened.append(one)
        if code is not None:
            assert one.enter(code).status_code == 200
        return one

    yield make
    for one in opened:
        one.close()


@pytest.fixture
def student(site, browser, codes):
    """A browser on the plain site, entered as S0001."""
    return browser(site, codes["S0001"])


@pytest.fixture
def instructor(browser):
    """Makes a browser entered as the instructor."""

    def make(site):
        one = browser(site)
        assert one.send("/instructor/enter", {"passphrase": PASSPHRASE}).status_code == 200
        return one

    return make


@pytest.fixture
def listening(make_site):
    """Makes sites that listen on a real socket."""
    from tests.web.sockets import Listening

    opened = []

    def make(proxy="", **rules):
        opened.append(Listening(make_site(**rules), proxy))
        return opened[-1]

    yield make
    for one in opened:
        one.close()
