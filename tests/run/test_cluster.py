"""Marking on a cluster gives the same results; without one there is a sentence."""

import importlib.util
import os
import signal
import threading
import time

import pytest

from grader.errors import UsageError
from grader.run.cluster import Cluster
from grader.run.storage.moving import OWN
from grader.run.work import make
from tests.run.section import contents, make_section, run, text_of


@pytest.mark.skipif(importlib.util.find_spec("distributed") is not None, reason="the library is there")
def test_without_the_library():
    with pytest.raises(UsageError, match="needs the library"):
        Cluster("tcp://127.0.0.1:1", make, None)


@pytest.mark.nightly
@pytest.mark.filterwarnings("default")
def test_the_same_results_as_on_this_machine(tmp_path):
    distributed = pytest.importorskip("distributed")
    folder = make_section(tmp_path, 8, sheets=2)
    (folder / "uploads" / "hw_S0003.txt").write_text(text_of({"gate.a": "fault"}))
    run(folder, "clean/results", workers=2)
    with distributed.LocalCluster(n_workers=2, threads_per_worker=1, dashboard_address=None) as cluster:
        run(folder, cluster=cluster.scheduler_address)
    assert contents(folder / "results") == contents(folder / "clean" / "results")
    with pytest.raises(UsageError, match="no scheduler answers"):
        Cluster("tcp://127.0.0.1:1", make, None)


@pytest.mark.nightly
@pytest.mark.filterwarnings("default")
def test_a_worker_killed_in_the_middle_costs_nobody_a_mark(tmp_path):
    distributed = pytest.importorskip("distributed")
    folder = make_section(tmp_path, 300, sheets=100)
    run(folder, "clean/results", workers=2)
    journal = folder / "results" / OWN / "journal.jsonl"
    killed = []

    def kill(nanny) -> None:
        while not (journal.exists() and journal.read_bytes().count(b"\n") > 20):
            time.sleep(0.01)
        os.kill(nanny.process.pid, signal.SIGKILL)
        killed.append(journal.read_bytes().count(b"\n"))

    with distributed.LocalCluster(n_workers=2, threads_per_worker=1, dashboard_address=None) as cluster:
        killer = threading.Thread(target=kill, args=(cluster.workers[0],), daemon=True)
        killer.start()
        run(folder, cluster=cluster.scheduler_address)
        killer.join(60)
    assert killed
    assert killed[0] < 300
    assert contents(folder / "results") == contents(folder / "clean" / "results")


def test_a_result_that_went_with_its_worker_is_asked_for_again(monkeypatch):
    distributed = pytest.importorskip("distributed")

    class Future:
        """One that is done, and whose result is lost as often as is said."""

        status = "finished"

        def __init__(self, job: str) -> None:
            self.job = job

        def add_done_callback(self, told) -> None:
            told(self)

        def result(self):
            if lost[self.job]:
                lost[self.job] -= 1
                raise distributed.client.FutureCancelledError(self.job, "lost")
            return (self.job,), ""

    class Client:
        """As much of a client as is used."""

        def __init__(self, *_, **__) -> None: ...

        def run(self, _) -> dict:
            return {}

        def scatter(self, task, **_):
            return task

        def submit(self, _, __, ___, job, **____) -> Future:
            return Future(job)

    lost = {"once": 1, "always": 99, "never": 0}
    monkeypatch.setattr(distributed, "Client", Client)
    cluster = Cluster("tcp://127.0.0.1:1", make, None)
    for job in lost:
        cluster.submit(job)
    found = {}
    while cluster.working:
        done = cluster.next()
        found[done.job] = done.messages, done.failure
    assert found.pop("always")[1] == "the cluster's workers that had its result stopped"
    assert found == {"once": (("once",), ""), "never": (("never",), "")}
