"""``run.json``: what went into a run, what came out of it, with which software, and how long it took."""

import hashlib
import json
from collections.abc import Mapping
from pathlib import Path
from typing import IO, Any

from grader.run.collect import Section
from grader.run.decisions import Decisions
from grader.run.storage.private import identity
from grader.run.storage.software import libraries, software
from grader.run.summary import Summary
from grader.uploads.roster import Roster


def inputs_of(
    rubric: Path,
    rubric_digest: str,
    uploads: Path,
    roster: tuple[Path, Roster] | None,
    decisions: Decisions,
    section: Section,
    secret: bytes | None = None,
) -> dict[str, Any]:
    """Everything the results depend on, each file with its SHA-256.

    What was decided counts by its content, wherever it was read; of a secret only what tells it from others is said.
    """
    return {
        "software": software(),
        "libraries": libraries(),
        "rubric": {"file": rubric.name, "sha256": rubric_digest},
        "roster": None if roster is None else {"file": roster[0].name, "sha256": roster[1].digest},
        "secret": None if secret is None else {"identity": identity(secret)},
        "decisions": {
            "count": sum(map(len, decisions.points.values())) + len(decisions.owners) + len(decisions.seen),
            "sha256": _digest(decisions),
        },
        "uploads_in": uploads.name,
        "uploads": [
            {"file": fate.entry.file, "sha256": fate.entry.digest, "student": fate.student, "state": fate.state}
            for fate in section.fates
        ],
    }


def _digest(decisions: Decisions) -> str:
    """Of what was decided, not of what it was decided on: that is the same decision when it is read from the review list."""
    points = {
        place: sorted((f"{one.points:.10g}", one.reason) for one in found) for place, found in decisions.points.items()
    }
    owners = {file: said for (file, _), said in decisions.owners.items()}
    seen = {(file, why): reason for (file, _, why), reason in decisions.seen.items()}
    written = [sorted(part.items()) for part in (points, owners, seen)]
    return hashlib.sha256(json.dumps(written, ensure_ascii=True).encode()).hexdigest()


def write_run(
    out: IO[str], inputs: Mapping[str, Any], summary: Summary, outputs: Mapping[str, str], seconds: float, workers: int
) -> None:
    """Write the file, piece by piece; everything but ``how`` is the same for the same inputs, however the run went."""
    counts = {
        "students": summary.students,
        "missing": summary.missing,
        "waiting": summary.waiting,
        "decided": summary.decided,
    }
    record = {
        "inputs": inputs,
        "counts": {**counts, **{f"uploads {state}": count for state, count in summary.files.items()}},
        "outputs": outputs,
        "how": {"seconds": round(seconds, 3), "workers": workers, "uploads reused": summary.reused},
    }
    json.dump(record, out, ensure_ascii=False, indent=1)
    out.write("\n")
