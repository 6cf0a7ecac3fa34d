"""From the words of the command line to a running site: everything checked before the first visitor."""

import asyncio
import errno
import gc
import os
import re
import time
from collections.abc import Sequence
from contextlib import suppress
from datetime import UTC, datetime
from pathlib import Path

from msgspec import Struct

from grader.errors import UsageError
from grader.jobs.pool import warm_up
from grader.marking.key import Key, build_key
from grader.opening import content_of, opened
from grader.rubric.files import load_rubric
from grader.rubric.personal import is_personal
from grader.run.storage.private import kept_secret, read_secret, write_private
from grader.uploads.roster import load_roster
from grader.web.access.codes import PASSPHRASE_COST, PASSPHRASE_LEAST, hashed, is_hash, new_passphrase
from grader.web.access.sessions import Signer
from grader.web.data.folder import COOKIES_KEY, DATABASE_FILE, PASSPHRASE_FILE, VALUES_KEY, open_folder
from grader.web.data.store import Damaged, Store
from grader.web.rules import Rules
from grader.web.sheets import build_sheet
from grader.web.site import AppState
from grader.web.work import Count, make, shelf_of
from grader.web.workers import Workers

PASSPHRASE_VARIABLE = "GRADER_PASSPHRASE"  # noqa: S105 - a name, no secret
"""The environment variable that sets the instructor's passphrase at the first start."""


class Started(Struct, frozen=True, kw_only=True):
    """A site, and what the instructor is told once.

    ``passphrase`` is the one just made ("" where there was one, or the instructor set it); ``remarked`` counts the
    attempts marked anew because a rubric or the program changed; ``without_code`` the students who have no code;
    ``values`` is the file that personal values are drawn from, None where there are none.
    """

    site: AppState
    passphrase: str
    remarked: int
    without_code: int
    values: Path | None


def start(
    rubrics: Sequence[Path],
    roster: Path,
    folder: Path,
    *,
    database: str | None,
    rules: Rules,
    tls: bool,
    named: Path | None = None,
) -> Started:
    """Open everything; ``named`` is the file of the secret that the students' sheets were made with.

    Raises
    ------
    UsageError, RubricError
        If a file is wrong, or the data folder or the database cannot be used.
    """
    warm_up("grader.web.work")
    students = load_roster(roster)
    keys = _keys(rubrics)
    folder = open_folder(folder)
    kept, shown = _passphrase(folder)
    secret = _secret_of_values(folder / VALUES_KEY, named)
    shelf = shelf_of(keys, secret, students)
    store = Store(database or f"sqlite:///{_own_database(folder / DATABASE_FILE)}")
    site = AppState(
        sheets={name: build_sheet(key, name) for name, key in keys.items()},
        roster=students,
        store=store,
        rules=rules,
        signer=Signer(kept_secret(folder / COOKIES_KEY, "delete it, and everybody enters once more")),
        passphrase=kept,
        workers=Workers(make, (shelf,), os.cpu_count() or 1),
        folder=folder,
        tls=tls,
        now=lambda: datetime.now(UTC),
        seconds=time.monotonic,
    )
    without = sum(site.code_of(student.id) is None for student in students.students)
    try:
        remarked = asyncio.run(mark_anew(site))
    except Damaged as error:
        raise UsageError(f"{database or folder / DATABASE_FILE}: {error}") from None
    values = folder / VALUES_KEY if any(is_personal(key.rubric) for key in keys.values()) else None
    started = Started(site=site, passphrase=shown, remarked=remarked, without_code=without, values=values)
    gc.collect()
    gc.freeze()  # what is here now stays; looking through it again and again would make everybody wait
    return started


def _secret_of_values(own: Path, named: Path | None) -> bytes:
    """The secret kept in the data folder: at the first start a copy of the one named, or a new one."""
    if named is not None:
        secret = read_secret(named)
        if not own.exists():
            write_private(own, f"{secret.hex()}\n".encode("ascii"))
        elif read_secret(own) != secret:
            raise UsageError(
                f"{own} holds another secret than {named}, and the students here have the values that follow from it; "
                "leave --secret out, or name another folder with --data."
            )
    return kept_secret(own, "put back a copy of it: the students' own values follow from it")


def _keys(rubrics: Sequence[Path]) -> dict[str, Key]:
    """The keys by the names of their sheets, which stand in addresses."""
    keys: dict[str, Key] = {}
    for path in rubrics:
        name = re.sub(r"[^a-z0-9]+", "-", path.stem.lower()).strip("-") or "sheet"
        if name in keys:
            raise UsageError(f"{path}: two rubrics would be called '{name}'; rename one of the files.")
        keys[name] = build_key(load_rubric(path))
    return keys


def _own_database(path: Path) -> Path:
    """The file of the database; one made now is there whole or not at all, wherever its making was stopped."""
    _not_cut_short(path)
    if not path.exists():
        draft = path.with_suffix(".new")
        try:
            _make_database(draft)
            draft.replace(path)
        except OSError as error:
            raise UsageError(
                f"{error.filename or draft}: the database cannot be made ({error.strerror}); see to that, or name another "
                "folder with --data."
            ) from None
    return path


def _make_database(draft: Path) -> None:
    for left in draft.parent.glob(f"{draft.name}*"):
        left.unlink()
    Store(f"sqlite:///{draft}").close()
    if any(draft.parent.glob(f"{draft.name}-*")):  # SQLite says nothing where its last write is refused
        raise OSError(errno.EIO, os.strerror(errno.EIO), draft)


def _not_cut_short(path: Path) -> None:
    """Refuse a database that is less than a page: SQLite would take that for a new one.

    The size of a page stands in bytes 16 and 17 (SQLite's documentation of its file format; 1 stands for 65,536).
    """
    for end in ("-wal", "-shm", "-journal", ""):  # what SQLite keeps beside it, and opens unasked
        try:
            with opened(path.with_name(f"{path.name}{end}")) as file:
                page, size = int.from_bytes(file.read(18)[16:], "big"), os.fstat(file.fileno()).st_size
        except FileNotFoundError:
            continue
        except OSError as error:
            raise UsageError(
                f"{path}{end} cannot be opened ({error.strerror}); put elsewhere what stands there, and put back an "
                "undamaged copy of the database."
            ) from None
        if not end and size < (65_536 if page == 1 else max(page, 512)):
            raise UsageError(
                f"{path}: the database was cut short; put back a copy of it, or delete it to begin without attempts."
            )


def _passphrase(folder: Path) -> tuple[str, str]:
    """The kept hash of the instructor's passphrase, and the passphrase itself where it was made just now."""
    path = folder / PASSPHRASE_FILE
    if path.exists():
        kept = ""
        with suppress(OSError, UnicodeDecodeError):
            kept = content_of(path).decode("ascii")
        if not is_hash(kept):
            raise UsageError(
                f"{path}: what is kept of the instructor's passphrase is damaged; delete it, and set a new one with "
                f"{PASSPHRASE_VARIABLE} or have one made."
            )
        return kept, ""
    given = os.environ.get(PASSPHRASE_VARIABLE, "")
    if given and len(given) < PASSPHRASE_LEAST:
        raise UsageError(
            f"The passphrase in {PASSPHRASE_VARIABLE} is too short; use at least {PASSPHRASE_LEAST} characters."
        )
    made = "" if given else new_passphrase()
    kept = hashed(given or made, PASSPHRASE_COST)
    write_private(path, kept.encode())
    return kept, made


async def mark_anew(site: AppState) -> int:
    """Mark again what was marked with another rubric or program; gives back how many attempts that were."""
    count = 0
    for name in site.sheets:
        for attempt in site.store.all_attempts(name):
            sheet = await site.own_sheet(name, attempt.student)
            basis = site.basis(sheet)
            if attempt.key == basis:
                continue
            job = Count(site.which(name, attempt.student), attempt.student, attempt.answers, attempt.file, insists=True)
            counted = await site.counted(sheet, job)
            site.store.remark(attempt.id, basis, counted.marks, counted.total)
            count += 1
    return count
