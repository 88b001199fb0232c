"""The index beside a folder of jobs: what the last check of each gave, so that it is kept.

One SQLite file. It can be deleted at any time; what it holds is made again. Each row carries
a hash over itself, so that a damaged one is not believed, and holds plain JSON: an index that
somebody else wrote can tell wrong results, as their records could, but runs nothing.
"""

from __future__ import annotations

import hashlib
import json
import sqlite3
from collections.abc import Callable, Iterable
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Any

FORMAT = 1
_COLUMNS = ("job", "stamps", "content", "context", "day", "line", "more")
_AT_ONCE = 64
"""So many results are written in one go, and lost if the program is killed."""
_PATIENCE_S = 5.0

Note = Callable[[str], None]


@dataclass(frozen=True, slots=True)
class Kept:
    """What is kept of one job; `line` and `more` are as `summary` makes them, in JSON."""

    job: str
    stamps: str
    """What its files looked like from outside; empty if that cannot be relied on."""
    content: str
    context: str
    """Rulesets, firm file and program."""
    day: str
    line: str
    more: str

    def line_data(self) -> dict[str, Any]:
        """What one line about the job says."""
        data: dict[str, Any] = json.loads(self.line)
        return data

    def more_data(self) -> dict[str, Any]:
        """What chasing needs."""
        data: dict[str, Any] = json.loads(self.more)
        return data

    @property
    def seal(self) -> str:
        """A hash over the row."""
        row = "\0".join(str(getattr(self, name)) for name in _COLUMNS)
        return hashlib.sha256(row.encode("utf-8", "surrogatepass")).hexdigest()


def index_path(folder: Path) -> Path:
    """Where the index of a folder is: beside it, under its name."""
    folder = folder.resolve()
    return folder.parent / f"{folder.name}.checked.sqlite"


class Index:
    """The index of one folder. Whatever is wrong with the file, the jobs are checked anew."""

    def __init__(self, path: Path, note: Note) -> None:
        """Opens or makes the index; `note` is told what a person should know."""
        self._path = path
        self._note = note
        self._waiting: list[Kept] = []
        self._usable = True
        self._file: sqlite3.Connection | None = None
        self._does(lambda file: None)

    def get(self, job: str) -> Kept | None:
        """What is kept of a job, if the row is whole."""
        found = self._does(
            lambda file: file.execute(
                f"SELECT {', '.join(_COLUMNS)}, seal FROM kept WHERE job = ?",  # noqa: S608 - our own names
                (job,),
            ).fetchall()
        )
        if not found:
            return None
        ((*row, seal),) = found
        kept = Kept(*map(str, row))
        return kept if kept.seal == seal else None

    def put(self, kept: Kept) -> None:
        """Keeps what a check gave, in place of what was kept of that job."""
        self._waiting.append(kept)
        if len(self._waiting) >= _AT_ONCE:
            self.write()

    def write(self) -> None:
        """Writes what waits."""
        rows = [(*(getattr(k, name) for name in _COLUMNS), k.seal) for k in self._waiting]
        self._waiting.clear()
        marks = ", ".join("?" * (len(_COLUMNS) + 1))
        self._does(
            lambda file: file.executemany(
                f"INSERT OR REPLACE INTO kept VALUES ({marks})",  # noqa: S608 - question marks
                rows,
            )
        )

    def forget_all_but(self, jobs: Iterable[str]) -> None:
        """Forgets jobs that are no longer in the folder."""
        there = set(jobs)

        def forget(file: sqlite3.Connection) -> None:
            gone = [row for row in file.execute("SELECT job FROM kept") if row[0] not in there]
            file.executemany("DELETE FROM kept WHERE job = ?", gone)

        self._does(forget)

    def close(self) -> None:
        """Writes what waits and lets go of the file."""
        if self._waiting:
            self.write()
        self._let_go()

    def _does(self, work: Callable[[sqlite3.Connection], Any]) -> Any:
        """Something with the file, which is made anew once if it is damaged."""
        for attempt in (1, 2):
            if not self._usable:
                return None
            try:
                self._file = self._file or self._opened()
                with self._file:
                    return work(self._file)
            except sqlite3.OperationalError as error:
                self._usable = False
                self._let_go()
                self._note(_not_used(self._path, error))
            except sqlite3.DatabaseError:
                self._let_go()
                self._note(f"{self._path.name} was damaged and is made anew; every job is checked.")
                with suppress(OSError):
                    self._path.unlink()
                self._usable = attempt == 1
        return None

    def _let_go(self) -> None:
        if self._file is not None:
            self._file.close()
        self._file = None

    def _opened(self) -> sqlite3.Connection:
        file = sqlite3.connect(self._path, timeout=_PATIENCE_S)
        try:
            # The file can be made again, so no time is spent on bringing each row to the disk.
            file.execute("PRAGMA synchronous = OFF")
            if not _is_made(file):
                self._made_anew(file)
        except BaseException:
            file.close()
            raise
        return file

    def _made_anew(self, file: sqlite3.Connection) -> None:
        with file:
            file.execute("BEGIN IMMEDIATE")
            if _is_made(file):  # by another command, while this one waited
                return
            file.execute("DROP TABLE IF EXISTS kept")
            columns = ", ".join(f"{name} TEXT NOT NULL" for name in (*_COLUMNS, "seal"))
            file.execute(f"CREATE TABLE kept ({columns}, PRIMARY KEY (job)) WITHOUT ROWID")
            file.execute(f"PRAGMA user_version = {FORMAT}")


def _is_made(file: sqlite3.Connection) -> bool:
    (made,) = file.execute("PRAGMA user_version").fetchone()
    return bool(made == FORMAT)


def _not_used(path: Path, error: sqlite3.OperationalError) -> str:
    if error.sqlite_errorcode in (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED):
        return (
            f"{path.name} is in use by another command. This one goes on without it: its results "
            "are right, but not all are kept for the next time."
        )
    return f"{path.name} cannot be used ({error}); every job is checked, and nothing is kept."
