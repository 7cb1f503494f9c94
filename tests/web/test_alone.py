"""One counter has a data folder at a time: on SQLite a second is refused, and whoever would restore into it is, too."""

import signal

import pytest

from tests.web.places import SERVER, SQLITE, Browser, free_port

ALREADY = "A counter serves from {folder} already. Stop it first, or choose another folder: --data"


def told_that_it_is_served(place, *command):
    said = place.command(*command, code=2)
    assert ALREADY.format(folder=place.folder) in said
    assert "Traceback" not in said


def serve(place):
    return "serve", "--port", str(free_port())


@pytest.mark.any_database
def test_a_second_counter_is_refused_by_whatever_name_the_folder_goes(make_place, tmp_path):
    place = make_place(SQLITE)
    (tmp_path / "another name").symlink_to(place.folder)
    with place.served() as counter:
        told_that_it_is_served(place, *serve(place))
        said = place.command(*serve(place), "--data", str(tmp_path / "another name"), code=2)
        assert "another name already" in said
        assert Browser(counter.address).ask("/people/enter/")[0] == 200
        assert len(counter.printed.splitlines()) == 5, "the second made nothing and ended no link to a first account"
        assert Browser(counter.address).ask(counter.first_link.removeprefix(counter.address))[0] == 200


@pytest.mark.any_database
@pytest.mark.parametrize("ended_by", [signal.SIGTERM, signal.SIGKILL])
def test_when_the_first_is_gone_however_it_went_the_next_may_serve(make_place, ended_by):
    place = make_place(SQLITE)
    with place.served() as counter:
        counter.process.send_signal(ended_by)
        counter.process.wait(5)
        with place.served() as another:
            assert Browser(another.address).ask("/people/enter/")[0] == 200


def test_a_backup_is_taken_while_it_serves(empty, tmp_path):
    empty.act("people")
    with empty.served():
        assert "written" in empty.command("backup", str(tmp_path / "one.zip"))


def test_nothing_is_restored_into_a_folder_from_which_is_served(empty, archive):
    """Nobody has an account there yet, so it would be empty enough."""
    with empty.served():
        told_that_it_is_served(empty, "restore", str(archive))
        assert "can be restored" in empty.command("restore", str(archive), "--dry-run")
    assert "is restored" in empty.command("restore", str(archive))


@pytest.mark.skipif(not SERVER, reason="needs PostgreSQL")
def test_two_that_serve_one_postgresql_database_may_share_the_folder(empty):
    with empty.served(), empty.served() as another:
        assert Browser(another.address).ask("/people/enter/")[0] == 200
