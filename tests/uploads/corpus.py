"""A corpus of files made to do harm, each with the outcome it must have, written down before it was run.

Run as a program with the name of a part, it reads every case in a process of its own and prints what came out, how long
it took and how much memory it needed.  All of it is invented.
"""

import json
import os
import resource
import sys
import tempfile
import time
from collections.abc import Callable, Iterator, Mapping
from pathlib import Path

from tests.uploads import corpus_sheets, corpus_texts, corpus_zips
from tests.uploads.building import PAIRS, ROSTER
from tests.uploads.corpus_case import CSV, READ, REFUSED, SHEET, WAITS, Case

CPU_SECONDS = 20
"""What a run allows for one upload."""

PARTS: Mapping[str, Callable[[], Iterator[Case]]] = {
    part.__name__: part
    for part in (
        corpus_texts.characters, corpus_texts.names, corpus_texts.speakers, corpus_texts.formulas, corpus_texts.texts,
        corpus_sheets.workbooks, corpus_sheets.documents, corpus_zips.zips,
    )
}  # fmt: skip


def outcome_of(case: Case) -> Mapping[str, object]:
    """Read one case as a run does."""
    from grader.uploads.files.source import Source, digest_of, shown
    from grader.uploads.files.sources import sources
    from grader.uploads.reader import read_source

    if case.file.endswith(".zip"):
        with tempfile.TemporaryDirectory() as folder:
            (Path(folder) / case.file).write_bytes(case.data)
            found = [one for source in sources(Path(folder)) for one in read_source(source, PAIRS, ROSTER)]
    else:
        source = Source(file=shown(case.file), digest=digest_of(case.data), data=case.data)
        found = list(read_source(source, PAIRS, ROSTER))
    answered = [one for one in found if one.answers]
    what = REFUSED if not answered else READ if answered[0].student == "S0012" else WAITS
    if any(one.student not in (None, "S0012") for one in answered):
        what = "spoke for another"
    return {
        "outcome": what if found else "",
        "said": [fault for one in found for fault in one.faults],
        "uploads": len(found),
    }


def measured(case: Case) -> Mapping[str, object]:
    """What came out of a process of its own, its processor time in seconds and the memory it needed in MiB."""
    receive, send = os.pipe()
    child = os.fork()
    if not child:
        resource.setrlimit(resource.RLIMIT_CPU, (CPU_SECONDS, CPU_SECONDS))
        before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
        begun = time.process_time()
        try:
            result = dict(outcome_of(case))
        except BaseException as error:  # noqa: BLE001 - whatever it is, it is the finding
            result = {"outcome": f"{type(error).__name__}: {error}", "said": []}
        result["seconds"] = time.process_time() - begun
        result["MiB"] = (resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before) / 1024
        os.write(send, json.dumps(result).encode()[:60_000])
        os._exit(0)
    os.close(send)
    with os.fdopen(receive, "rb") as stream:
        answer = stream.read()
    os.waitpid(child, 0)
    return json.loads(answer) if answer else {"outcome": "stopped", "said": [], "seconds": CPU_SECONDS, "MiB": 0.0}


def main(part: str) -> None:
    """Print what came out of every case of one part."""
    outcome_of(Case("", "S0012.csv", CSV, READ))
    outcome_of(Case("", "S0012.xlsx", SHEET, READ))
    results = [
        {"name": case.name, "expected": case.outcome, "expected in": case.said, **measured(case)}
        for case in PARTS[part]()
    ]
    json.dump(results, sys.stdout)


if __name__ == "__main__":
    main(sys.argv[1])
