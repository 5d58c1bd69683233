"""The database: steps with a backup before each, a newer or another program's left alone, transactions."""

import os
import shutil
import sqlite3
import threading

import pytest

from analyzer.errors import DeskError
from analyzer.run.desk.opened import open_desk
from analyzer.run.desk.store import database, schema
from analyzer.run.desk.store.charts import add_chart, all_charts, chart_of
from analyzer.run.desk.store.database import Store
from analyzer.run.desk.store.lesson_list import Wanted, lesson_list
from analyzer.run.desk.store.lessons import add_lesson, keep_recording, lesson_of, put_away
from analyzer.run.desk.store.pilots import add_pilot, all_pilots, change_pilot, pilot_named, pilot_of
from analyzer.run.desk.store.settings import set_setting, setting
from analyzer.run.desk.store.words import one_line

SHA256 = "ab" * 32


@pytest.fixture
def store(tmp_path):
    made = Store(tmp_path)
    yield made
    made.close()


def pragma(folder, name):
    with sqlite3.connect(folder / database.NAME) as connection:
        value = connection.execute(f"PRAGMA {name}").fetchone()[0]
    connection.close()
    return value


def bytes_of(folder):
    return {path.name: path.read_bytes() for path in folder.iterdir() if path.is_file()}


def test_a_new_database_is_ours_in_wal_and_forced_to_disk(store, tmp_path):
    assert pragma(tmp_path, "journal_mode") == "wal"
    assert pragma(tmp_path, "user_version") == schema.VERSION
    assert pragma(tmp_path, "application_id") == schema.APPLICATION_ID
    with store.reading() as view:
        assert view.execute("PRAGMA synchronous").fetchone()[0] == 2  # FULL
        assert view.execute("PRAGMA foreign_keys").fetchone()[0] == 1


def test_before_each_step_there_is_a_backup(tmp_path, monkeypatch):
    old = Store(tmp_path)
    with old.writing() as change:
        add_pilot(change, "Ada")
    old.close()
    steps = (*schema.STEPS, ("ALTER TABLE pilot ADD COLUMN email TEXT NOT NULL DEFAULT ''",), ("SELECT 1",))
    monkeypatch.setattr(database, "STEPS", steps)
    monkeypatch.setattr(database, "VERSION", len(steps))
    new = Store(tmp_path)
    with new.reading() as view:
        assert [row["name"] for row in view.execute("SELECT name, email FROM pilot")] == ["Ada"]
    new.close()
    assert pragma(tmp_path, "user_version") == 3
    backups = sorted((tmp_path / database.BACKUPS).iterdir())
    assert [path.name.split("-")[1] for path in backups] == ["v1", "v2"]
    restored = tmp_path / "restored"
    restored.mkdir()
    shutil.copy(backups[0], restored / database.NAME)
    monkeypatch.undo()
    again = Store(restored)
    with again.reading() as view:
        assert [pilot.name for pilot in all_pilots(view)] == ["Ada"]
    again.close()


def test_a_step_that_fails_changes_nothing(tmp_path, monkeypatch):
    old = Store(tmp_path)
    with old.writing() as change:
        add_pilot(change, "Ada")
    old.close()
    wrong = (*schema.STEPS, ("ALTER TABLE pilot ADD COLUMN email TEXT", "SELECT * FROM nothing_of_this_name"))
    monkeypatch.setattr(database, "STEPS", wrong)
    monkeypatch.setattr(database, "VERSION", len(wrong))
    with pytest.raises(DeskError, match="can't be used as the desk's database"):
        Store(tmp_path)
    monkeypatch.undo()
    assert pragma(tmp_path, "user_version") == schema.VERSION
    old = Store(tmp_path)
    with old.reading() as view:
        assert "email" not in view.execute("SELECT * FROM pilot").fetchone().keys()  # noqa: SIM118 - not a dict
    old.close()


def test_a_newer_program_s_database_is_refused_and_not_touched(tmp_path):
    Store(tmp_path).close()
    with sqlite3.connect(tmp_path / database.NAME) as connection:
        connection.execute(f"PRAGMA user_version = {schema.VERSION + 1}")
    connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    connection.close()
    before = bytes_of(tmp_path)
    with pytest.raises(DeskError, match=r"newer program.*install the newer program, or name another folder"):
        Store(tmp_path)
    assert bytes_of(tmp_path) == before


def test_a_newer_one_whose_version_is_in_the_journal_only_is_refused(tmp_path):
    Store(tmp_path).close()
    connection = sqlite3.connect(tmp_path / database.NAME, isolation_level=None)
    connection.execute(f"PRAGMA user_version = {schema.VERSION + 1}")
    try:
        with pytest.raises(DeskError, match="newer program"):
            Store(tmp_path)
    finally:
        connection.close()


@pytest.mark.parametrize("kind", ["another database", "text", "cut short"])
def test_what_is_not_ours_is_refused_and_not_touched(tmp_path, kind):
    place = tmp_path / database.NAME
    if kind == "another database":
        connection = sqlite3.connect(place)
        connection.execute("CREATE TABLE other (x)")
        connection.execute("PRAGMA user_version = 7")
        connection.commit()
        connection.close()
    elif kind == "text":
        place.write_text("dear diary " * 100, encoding="utf-8")
    else:
        Store(tmp_path).close()
        place.write_bytes(place.read_bytes()[:50])
    before = bytes_of(tmp_path)
    with pytest.raises(DeskError, match="name another folder"):
        Store(tmp_path)
    assert bytes_of(tmp_path) == before


def test_a_damaged_database_is_refused_in_words(tmp_path):
    Store(tmp_path).close()
    place = tmp_path / database.NAME
    place.write_bytes(place.read_bytes()[:100] + b"\xff" * 8000)
    with pytest.raises(DeskError, match="can't be used as the desk's database"):
        Store(tmp_path)


def test_a_transaction_is_there_whole_or_not_at_all(store):
    def add_two_and_fail():
        with store.writing() as change:
            add_pilot(change, "Ada")
            add_chart(change, "VOR 12", "title = 1")
            raise ValueError("something went wrong")

    with pytest.raises(ValueError, match="something went wrong"):
        add_two_and_fail()
    with store.reading() as view:
        assert all_pilots(view) == ()
        assert all_charts(view) == ()


def test_a_reader_sees_one_state_while_another_writes(store):
    with store.reading() as view:
        before = all_pilots(view)

        def write():
            with store.writing() as change:
                add_pilot(change, "Ada")

        thread = threading.Thread(target=write)
        thread.start()
        thread.join()
        assert all_pilots(view) == before == ()
    with store.reading() as view:
        assert len(all_pilots(view)) == 1


def test_eight_writers_at_once_all_get_through(store):
    def write(number):
        for each in range(10):
            with store.writing() as change:
                add_pilot(change, f"pilot {number} {each}")

    threads = [threading.Thread(target=write, args=(number,)) for number in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    with store.reading() as view:
        assert len(all_pilots(view)) == 80


def test_pilots_have_one_name_each(store):
    with store.writing() as change:
        ada = add_pilot(change, "  Åda \t Example\n", "left seat")
        assert ada.name == "Åda Example"
        assert pilot_named(change, "åda example") == ada
        other = pilot_named(change, "Bo")
        with pytest.raises(DeskError, match="is here already"):
            change_pilot(change, other.id, "ÅDA EXAMPLE", "", asks_own_view=False)
        changed = change_pilot(change, ada.id, "åda example", "", asks_own_view=True)
        assert pilot_of(change, ada.id) == changed
        assert changed.asks_own_view
        with pytest.raises(DeskError, match="there is no such pilot"):
            pilot_of(change, 99)


@pytest.mark.parametrize("name", ["", "  \n ", "\u202e", "x" * 201])
def test_a_name_that_can_t_be_kept_is_refused(store, name):
    with store.writing() as change, pytest.raises(DeskError, match="name of the pilot"):
        add_pilot(change, name)


def test_what_can_t_be_seen_does_not_stay_in_a_name():
    assert one_line("A\x00d\u202ea\r\n\x1b[31m", "name") == "A d a [31m"


def test_a_corrected_chart_names_the_one_it_replaces(store):
    with store.writing() as change:
        first = add_chart(change, "VOR 12", "a = 1")
        second = add_chart(change, "VOR 12", "a = 2", replaces=first.id)
        assert add_chart(change, "another title", "a = 1") == first  # the same text is the same chart
        assert all_charts(change) == (second,)
        assert all_charts(change, replaced=True) == (first, second)
        assert chart_of(change, first.id).text == "a = 1"


def test_a_lesson_needs_a_recording_and_charts_that_are_here(store):
    with store.writing() as change:
        keep_recording(change, SHA256, "flight.gpx", 10)
        lesson = add_lesson(change, SHA256, options={"wind": "240/18"})
        assert lesson_of(change, lesson.id) == lesson
        assert (lesson.state, lesson.waiting, lesson.options) == ("received", True, {"wind": "240/18"})
        with pytest.raises(DeskError, match="chart 5: there is no such chart"):
            add_lesson(change, SHA256, charts=[5])
        with pytest.raises(sqlite3.IntegrityError):
            add_lesson(change, "cd" * 32)
        assert keep_recording(change, SHA256, "another name.gpx", 10).name == "flight.gpx"


def test_settings(store):
    with store.writing() as change:
        assert setting(change, "author", "nobody") == "nobody"
        set_setting(change, "author", "Ada")
        set_setting(change, "author", "Bo")
        assert setting(change, "author") == "Bo"


def test_a_folder_that_is_open_is_refused_to_a_second_desk(tmp_path):
    first = open_desk(tmp_path, workers=0)
    first.lock.say("at http://127.0.0.1:45180/")
    before = (tmp_path / "desk.lock").read_bytes()
    with pytest.raises(DeskError, match=r"is open in another desk \(at http://127.0.0.1:45180/\); go on there"):
        open_desk(tmp_path, workers=0)
    assert (tmp_path / "desk.lock").read_bytes() == before
    first.close()
    open_desk(tmp_path, workers=0).close()


def test_a_folder_that_can_t_be_one_is_refused_in_words(tmp_path):
    (tmp_path / "file").write_text("x", encoding="utf-8")
    for folder in (tmp_path / "file", tmp_path / "file" / "below", tmp_path / "a\x00b"):
        with pytest.raises(DeskError, match="name another"):
            open_desk(folder, workers=0)


def test_a_full_disk_is_told_in_words_and_the_desk_goes_on(store):
    with store.writing() as change:
        add_pilot(change, "Ada")
        pages = change.execute("PRAGMA page_count").fetchone()[0]
    connection = store._connection()
    connection.execute(f"PRAGMA max_page_count = {pages + 2}")

    def write_much():
        with store.writing() as change:
            add_pilot(change, "Bo")
            add_chart(change, "large", "x" * 500_000)

    with pytest.raises(DeskError, match=r"can't be written \(database or disk is full\); nothing was changed"):
        write_much()
    connection.execute("PRAGMA max_page_count = 1000000")
    write_much()
    with store.reading() as view:
        assert [pilot.name for pilot in all_pilots(view)] == ["Ada", "Bo"]


def test_a_lesson_that_was_put_away_comes_back(store):
    with store.writing() as change:
        keep_recording(change, SHA256, "flight.gpx", 10)
        lesson = add_lesson(change, SHA256).id
        put_away(change, lesson)
        assert lesson_list(change, Wanted()).total == 0
        assert [line.id for line in lesson_list(change, Wanted(put_away=True)).lines] == [lesson]
        assert lesson_of(change, lesson).put_away
        put_away(change, lesson, away=False)
        assert lesson_list(change, Wanted()).total == 1


@pytest.mark.skipif(os.name == "nt", reason="rights of files are another matter there")
def test_nobody_else_on_the_machine_can_read_a_new_folder(tmp_path):
    open_desk(tmp_path / "desk", workers=0).close()
    assert (tmp_path / "desk").stat().st_mode & 0o077 == 0
