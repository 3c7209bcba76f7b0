"""The job that a session has open in the book: opened, kept, kept as a copy; what two windows wrote is never lost.

Nothing is stored unless the server was started with a folder (``launch`` sets ``book`` then), or somebody names one on
the page of a server that listens on this machine alone.
"""

from __future__ import annotations

import hashlib
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path

from advisor.book.store import Book, ChangedMeanwhileError
from advisor.case.file import write_case
from advisor.core.errors import AdvisorError, InputError
from advisor.web import session, state, words

#: The folder's book; one for the server, None where no folder was given.
book: Book | None = None
#: Whether a page may name the folder: set where the server listens on this machine alone.
may_choose = False
#: Where a refusal is shown.
SHOWN_AT = "job book"


@dataclass(frozen=True)
class OpenJob:
    """A job that is open.

    Parameters
    ----------
    file, version : str
        Its file, and the version that was opened or written last.
    kept : str
        What the book holds of it, as the file's text.
    is_overtaken : bool
        Another window has written it since.
    """

    file: str
    version: str
    kept: str
    is_overtaken: bool = False

    @property
    def in_link(self) -> str:
        """What a link says of it: no name, as a link may be passed on."""
        return f"{_sign(self.file)}{self.version}"


def current() -> OpenJob | None:
    """The session's open job; none where the book is shut."""
    found = session.current().job
    return found if book is not None and isinstance(found, OpenJob) else None


def is_kept() -> bool:
    """Whether the book holds all that was answered."""
    held = current()
    return held is not None and held.kept == state.file_text()


def choose(text: str) -> None:
    """Keep jobs in a folder that somebody at this machine names, made if it is not there; once, until the server stops.

    It lies in the home of whoever runs the server and is not hidden, so that no page opens the rest of the disk.
    """
    global book
    home, named = Path.home().resolve(), text.strip()
    try:
        if book is not None or not may_choose:
            raise InputError("book", named, "the folder was chosen already", "stop the server to choose another")
        try:
            folder = (home / Path(named).expanduser()).resolve()
            within = folder.relative_to(home).parts
        except (OSError, ValueError, RuntimeError) as error:
            raise InputError("book", named, "this is no folder in your home", "name one, as Jobs") from error
        if not within or any(part.startswith(".") for part in within):
            raise InputError("book", named, "jobs need a folder of their own", "name one, as Jobs")
        try:
            folder.mkdir(exist_ok=True)
        except OSError as error:
            raise InputError("book", named, "this folder cannot be made", "name another") from error
        book = Book(folder)
    except AdvisorError as error:
        _refuse(error)
    else:
        state.clear_refusal(SHOWN_AT)


def open_job(file: str) -> None:
    """Open a job; the house that was looked at before makes room for it."""
    assert book is not None
    try:
        case, version = book.read(file)
        state.take_case(case)
    except AdvisorError as error:
        _refuse(error)
        return
    # Undo would bring another house under the name of this one.
    session.current().past = []
    _hold(OpenJob(file, version, state.file_text()))


def add(customer: str, day: date) -> None:
    """Put the house that is looked at into the book, as a new job."""
    assert book is not None
    given = session.current().given
    named = {**given, "name": customer.strip(), "job": {**given.get("job", {}), "visit_on": day}}
    if not customer.strip():
        named.pop("name")
    if state.take_house(named, shown_at=SHOWN_AT):
        session.current().past = []
        _add()


def keep() -> None:
    """Write what was answered, unless another window has written the job since."""
    held = current()
    assert book is not None and held is not None
    try:
        version = book.save(state.case(), held.file, held.version)
    except ChangedMeanwhileError as error:
        _refuse(error)
        session.current().job = replace(held, is_overtaken=True)
    except AdvisorError as error:
        _refuse(error)
    else:
        _hold(OpenJob(held.file, version, state.file_text()))


def keep_as_copy() -> None:
    """Write what was answered as a job of its own, beside the one that another window has written."""
    _add()


def drop_changes() -> None:
    """Open the job as the book holds it."""
    held = current()
    assert held is not None
    open_job(held.file)


def shut() -> None:
    """Leave the job; the house stays on the screen."""
    session.current().job = None
    state.clear_refusal(SHOWN_AT)


def put_away(file: str, *, is_archived: bool) -> None:
    """Archive a job, or take it back."""
    assert book is not None
    held = current()
    try:
        book.take_back(file) if is_archived else book.archive(file)
    except AdvisorError as error:
        _refuse(error)
        return
    state.clear_refusal(SHOWN_AT)
    if held is not None and held.file == file and not is_archived:
        shut()


def copy(file: str) -> None:
    """The same job once more, under today's date, and open it."""
    assert book is not None
    try:
        again = book.copy(file)
    except AdvisorError as error:
        _refuse(error)
        return
    open_job(again)


def from_link(text: str) -> None:
    """Open the job again that a reloaded page had open, with what had been answered since."""
    if book is None or not text:
        return
    with_name = [one.file for one in book.jobs() if _sign(one.file) == text[:_SIGN]]
    if not with_name:
        return
    try:
        case, _ = book.read(with_name[0])
    except AdvisorError:
        return
    held = session.current()
    # A link holds all but the name.
    held.given = {**held.given, "name": case.name} if case.name else held.given
    held.job = OpenJob(with_name[0], text[_SIGN:], write_case(case))


_SIGN = 12


def _sign(file: str) -> str:
    return hashlib.sha256(file.encode()).hexdigest()[:_SIGN]


def _add() -> None:
    assert book is not None
    try:
        file, version = book.add(state.case())
    except AdvisorError as error:
        _refuse(error)
        return
    _hold(OpenJob(file, version, state.file_text()))


def _hold(job: OpenJob) -> None:
    held = session.current()
    held.job, held.is_demo = job, False
    state.clear_refusal(SHOWN_AT)


def _refuse(error: AdvisorError) -> None:
    session.current().refused[SHOWN_AT] = words.refused(error)
