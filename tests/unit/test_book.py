"""The job book: names that lead nowhere else, lists that tell what the files hold, and no work that is ever lost."""

import os
import random
import signal
import time
from datetime import date
from pathlib import Path
from threading import Thread

import pytest

from advisor.book import listing
from advisor.book.names import file_name, is_plain
from advisor.book.store import ARCHIVE, Book, ChangedMeanwhileError
from advisor.case.file import case_from, parse_case, read_case, write_case
from advisor.core.errors import InputError
from tests.attack.generators import HOSTILE

DAY = date(2026, 11, 29)
HOUSE = {
    "name": "Rivera, 12 Oak St.",
    "job": {"visit_on": DAY},
    "place": {"zip_code": "55811"},
    "household": {"people": 4},
    "failed": {"fuel": "natural_gas", "size_gal": 50},
    "house": {"fuels": ["natural_gas"]},
}
OFFER = {"candidate": "gas-tank-50", "total_usd": 2900}


def case_of(**changes):
    return case_from({**HOUSE, **changes})


@pytest.fixture
def book(tmp_path):
    return Book(tmp_path)


class TestNames:
    def test_it_says_day_and_customer(self):
        assert file_name("Rivera, 12 Oak St.", DAY) == "2026-11-29 Rivera 12 Oak St.toml"
        assert file_name("  Ñandú  Öz ", DAY, 2) == "2026-11-29 Ñandú Öz 2.toml"

    @pytest.mark.parametrize(
        "customer", [*HOSTILE, "../../x", "..", ".", "a/b", "a\\b", "con", "~root", "-rf", "雪" * 300]
    )
    def test_whatever_is_typed_stays_a_plain_name_in_its_folder(self, customer, tmp_path):
        name = file_name(customer.encode(errors="ignore").decode(), DAY, 999)
        assert is_plain(name) and len(os.fsencode(name)) < 200 and name.isprintable()
        assert (tmp_path / name).resolve().parent == tmp_path.resolve()

    @pytest.mark.parametrize(
        "name", ["../a.toml", "a/b.toml", "a\\b.toml", ".a.toml", "a.txt", "a\0.toml", "", "C:a.toml"]
    )
    def test_a_name_that_leads_elsewhere_is_refused(self, book, name):
        for call in (book.read, book.archive, book.take_back, book.copy):
            with pytest.raises(InputError, match="no name of a job"):
                call(name)
        with pytest.raises(InputError):
            book.save(case_of(), name, "x")

    def test_a_link_out_of_the_folder_is_refused(self, book, tmp_path_factory):
        out = tmp_path_factory.mktemp("out") / "secret.toml"
        out.write_text("a = 1")
        (book.folder / "2026-11-29 x.toml").symlink_to(out)
        with pytest.raises(InputError, match="no name"):
            book.read("2026-11-29 x.toml")


class TestStore:
    def test_a_job_is_a_case_that_people_and_every_command_can_read(self, book):
        file, version = book.add(case_of())
        assert file == "2026-11-29 Rivera 12 Oak St.toml"
        assert read_case(book.folder / file) == case_of()
        assert book.read(file) == (case_of(), version)
        assert (book.folder / file).read_text(encoding="utf-8").startswith('name = "Rivera, 12 Oak St."\n\n[job]\n')

    def test_two_jobs_of_one_name_stand_side_by_side(self, book):
        names = [book.add(case_of())[0] for _ in range(3)]
        assert len(set(names)) == 3 and len(book.jobs()) == 3

    def test_a_job_without_a_customer_is_refused(self, book):
        with pytest.raises(InputError, match="no customer's name"):
            book.add(case_of(name=None))
        assert not list(book.folder.iterdir())

    def test_the_later_of_two_windows_is_told_and_nothing_is_lost(self, book):
        file, opened = book.add(case_of())
        first = book.save(case_of(household={"people": 5}), file, opened)
        with pytest.raises(ChangedMeanwhileError, match="another window"):
            book.save(case_of(household={"people": 6}), file, opened)
        assert book.read(file)[0].household.people == 5
        assert book.save(case_of(household={"people": 6}), file, first)
        copy, _ = book.add(case_of(household={"people": 7}))
        assert copy != file and book.read(file)[0].household.people == 6

    def test_a_job_that_was_put_away_meanwhile_is_told(self, book):
        file, opened = book.add(case_of())
        book.archive(file)
        with pytest.raises(ChangedMeanwhileError, match="no longer"):
            book.save(case_of(), file, opened)
        assert [one.file for one in book.jobs(is_archived=True)] == [file] and book.jobs() == []
        book.take_back(file)
        assert [one.file for one in book.jobs()] == [file]

    def test_putting_away_never_writes_over_another(self, book):
        for people in (3, 4):
            file, _ = book.add(case_of(household={"people": people}))
            book.archive(file)
        assert len(list((book.folder / ARCHIVE).iterdir())) == 2

    def test_a_copy_is_of_today(self, book):
        file, _ = book.add(case_of(offers=[OFFER]))
        again, _ = book.read(book.copy(file))
        assert again.job.visit_on == date.today() and again.offers == case_of(offers=[OFFER]).offers

    def test_a_file_that_is_no_case_is_listed_and_refused_in_a_sentence(self, book):
        (book.folder / "2026-01-02 broken.toml").write_bytes(b"\xff = [")
        (one,) = book.jobs()
        assert (one.state, one.customer) == ("unreadable", "2026-01-02 broken")
        with pytest.raises(InputError):
            book.read(one.file)

    @pytest.mark.parametrize("folder", ["none", "file"])
    def test_a_folder_that_is_none_is_refused(self, tmp_path, folder):
        (tmp_path / "file").write_text("")
        with pytest.raises(InputError, match="no such folder"):
            Book(tmp_path / folder)


class TestList:
    def test_what_it_says_is_what_the_files_say(self, book):
        reading = {"reading": "bath_f", "value": "118", "by": "[job]"}
        cases = [
            case_of(),
            case_of(offers=[OFFER], name="Chen"),
            case_of(offers=[OFFER], readings=[reading], name="Abel", job={}),
            case_of(offers=[OFFER], job={"visit_on": date(2026, 1, 3), "state": "asked"}, name='A "q" # [job]'),
        ]
        for case in cases:
            book.add(case)
        told = {one.customer: (one.day, one.state) for one in book.jobs()}
        assert told == {
            "Rivera, 12 Oak St.": (DAY, "asked"),
            "Chen": (DAY, "offered"),
            "Abel": (date.today(), "done"),
            'A "q" # [job]': (date(2026, 1, 3), "asked"),
        }

    def test_a_file_laid_out_by_hand_reads_the_same(self, book):
        text = write_case(case_of(offers=[OFFER]))
        by_hand = text.replace("[job]\nvisit_on = 2026-11-29\n", "").replace(
            'name = "', 'job.visit_on = 2026-11-29\nname = "'
        )
        assert parse_case(by_hand) == case_of(offers=[OFFER])
        (book.folder / "hand.toml").write_text(by_hand, encoding="utf-8")
        assert book.jobs() == [listing.Entry("hand.toml", "Rivera, 12 Oak St.", DAY, "offered")]

    def test_the_newest_stand_first_and_words_find_them(self, book):
        for number, name in enumerate(("Chen", "Rivera", "Abel"), start=1):
            book.add(case_of(name=name, job={"visit_on": date(2026, number, 1)}))
        jobs = book.jobs()
        assert [one.customer for one in jobs] == ["Abel", "Rivera", "Chen"]
        assert [one.customer for one in listing.matching(jobs, "2026-02 riv")] == ["Rivera"]
        assert listing.matching(jobs, "", ("done",)) == [] == listing.matching(jobs, "nobody")

    def test_a_change_is_seen(self, book):
        file, version = book.add(case_of())
        assert book.jobs()[0].state == "asked"
        book.save(case_of(offers=[OFFER]), file, version)
        assert book.jobs()[0].state == "offered"


def test_fifty_kills_leave_every_job_whole(book):
    """A process that writes without a pause is killed at a random moment, over and over."""
    chance = random.Random(7)
    file, _ = book.add(case_of())
    for number in range(50):
        child = os.fork()
        if child == 0:
            _write_for_ever(book, file)
        time.sleep(chance.uniform(0.002, 0.02))
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
        assert book.read(file)[0].name == HOUSE["name"], number
        assert [one.file for one in book.jobs()] == [file]


def test_what_a_kill_left_is_swept_when_it_is_old(book):
    """Not what another server may be writing now, nor a hidden file of somebody else."""
    left = [book.folder / name for name in (".2026-11-29 Rivera.toml-abcd_123", ".2026-11-29 X.toml-a1b2c3d4", ".keep")]
    for path in left:
        path.write_text("half")
    for path in (left[0], left[2]):
        os.utime(path, (0, 0))
    assert Book(book.folder).jobs() == []
    assert [path.exists() for path in left] == [False, True, True]


def _write_for_ever(book, file):
    while True:
        for people in (3, 4):
            book.save(case_of(household={"people": people}), file, book.read(file)[1])


@pytest.mark.parametrize("apart", ["threads", "processes"])
def test_no_update_is_lost(book, apart):
    """Each of several writers adds to a number of the file, and begins again when it is told that it was late."""
    file, _ = book.add(case_of(household={"people": 1}))
    if apart == "threads":
        writers = [Thread(target=_add, args=(book, file, 5)) for _ in range(3)]
        for one in writers:
            one.start()
        for one in writers:
            one.join()
    else:
        children = []
        for _ in range(3):
            child = os.fork()
            if child == 0:
                _add(book, file, 5)
                os._exit(0)
            children.append(child)
        assert all(os.waitpid(child, 0)[1] == 0 for child in children)
    assert book.read(file)[0].household.people == 16


def _add(book, file, times):
    done = 0
    while done < times:
        case, version = book.read(file)
        try:
            book.save(case_of(household={"people": case.household.people + 1}), file, version)
            done += 1
        except ChangedMeanwhileError:
            continue


def test_nothing_is_left_beside_the_jobs(book):
    book.add(case_of())
    assert [path.name for path in Path(book.folder).iterdir()] == ["2026-11-29 Rivera 12 Oak St.toml"]
