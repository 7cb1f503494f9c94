"""A restore: every row and every photo as it was, into either database; or nothing, with words."""

import hashlib
import json
import os
import secrets
import stat
import zipfile

import pytest

from tests.web.places import POSTGRESQL, SERVER, SQLITE, Browser


@pytest.fixture(autouse=True)
def _others_make_files_as_before():
    """Whoever restores closes what they make to others, for as long as the process lives."""
    before = os.umask(0o022)
    os.umask(before)
    yield
    os.umask(before)


OURS = {"session.key", "serving.lock"}
"""What lies in any data folder, empty or not."""

BOTH = [SQLITE, POSTGRESQL] if SERVER else [SQLITE]


def differences(before, after):
    """What is not the same, but for the one line of the trail that says that it was restored."""
    wrong = {}
    for label in before.keys() | after.keys():
        missing = set(before.get(label, [])) - set(after.get(label, []))
        new = [row for row in after.get(label, []) if row not in set(before.get(label, []))]
        if label == "auditlog.logentry":
            new = [row for row in new if "restored from a backup" not in row and "people.firstlink" not in row]
        if missing or new or (label != "auditlog.logentry" and len(before[label]) != len(after[label])):
            wrong[label] = (sorted(missing), new)
    return wrong


def photos(place):
    return {name: content for name, content in place.files().items() if name.startswith("photos/")}


# ---- what is restored


@pytest.mark.parametrize("database", BOTH)
def test_everything_comes_back(archive, full, full_rows, make_place, database):
    place = make_place(database)
    said = place.command("restore", str(archive))
    assert "2  records" in said
    rows, restored = place.act("compared")
    assert differences(full_rows, rows) == {}
    digest = hashlib.sha256(archive.read_bytes()).hexdigest()
    assert [one["restored"] for one in restored] == [digest]
    assert photos(place) == {name: content for name, content in photos(full).items() if "stray" not in name}
    assert {stat.S_IMODE(path.stat().st_mode) for path in (place.folder / "photos").iterdir()} == {0o600}
    assert place.act("left_out") == {"sessions": 0, "behind": 1, "group": 2}  # numbers go on behind the restored ones
    assert not [path for path in place.folder.iterdir() if "restoring" in path.name]


@pytest.mark.skipif(not SERVER, reason="no PostgreSQL in this run: python -m tests.postgres python -m pytest tests/web")
def test_from_sqlite_to_postgresql_and_back(make_place, tmp_path):
    places = [make_place(SQLITE), make_place(POSTGRESQL), make_place(SQLITE)]
    places[0].act("fill")
    told = [places[0].act("compared")[0]]
    for number, (here, there) in enumerate(zip(places, places[1:], strict=False)):
        here.command("backup", str(tmp_path / f"{number}.zip"))
        there.command("restore", str(tmp_path / f"{number}.zip"))
        told.append(there.act("compared")[0])
    assert differences(told[0], told[1]) == {}
    assert differences(told[0], told[2]) == {}
    assert photos(places[1]) == photos(places[2])


def test_seals_hold_and_the_key_is_named(archive, full, make_place):
    place = make_place()
    key = full.command("backup", str(archive.with_name("again.zip"))).split("keep apart from it: ")[1].split()[0]
    said = place.command("restore", str(archive))
    assert f"sealed with the key {key}" in said
    assert place.act("findings") == [["key", "key"], []]  # all that is wrong is that the key is not known here
    (place.folder / "seal.known").write_text(key + "\n")
    assert place.act("findings") == [[], []]


def test_one_enters_with_the_password_one_had(archive, make_place):
    place = make_place()
    place.command("restore", str(archive))
    with place.served() as counter:
        assert counter.first_link == ""
        ada = Browser(counter.address)
        ada.ask("/people/enter/")
        status, headers, _text = ada.ask("/people/enter/", {"username": "ada", "password": "Nine herons wade"})
        assert (status, headers["Location"]) == (302, "/")
        assert ada.ask("/yard/")[0] == 200


def test_where_somebody_is_already_nothing_is_restored(archive, make_place):
    place = make_place()
    place.act("people")
    before = place.act("compared")
    said = place.command("restore", str(archive), code=2)
    assert "There are people here already" in said
    assert place.act("compared") == before
    assert photos(place) == {}
    assert "There are people here already" in place.command("restore", str(archive), "--dry-run", code=2)


def test_a_place_that_was_only_started_is_empty(archive, full_rows, make_place):
    """Its first start left a link to the first account, and that in the trail."""
    place = make_place()
    with place.served() as counter:
        link = counter.first_link.removeprefix(counter.address)
        assert Browser(counter.address).ask(link)[0] == 200
    place.command("restore", str(archive))
    with place.served() as counter:
        assert Browser(counter.address).ask(link)[0] in {404, 410}
    assert differences(full_rows, place.act("compared")[0]) == {}


def test_a_dry_run_changes_nothing(archive, empty):
    said = empty.command("restore", str(archive), "--dry-run")
    assert "is whole and can be restored; nothing was changed" in said
    assert "2  records" in said
    if empty.database == SQLITE:
        assert not empty.folder.exists()
    with pytest.raises(AssertionError, match=r"no such table|does not exist"):
        empty.act("compared")


# ---- what is refused


def changed(archive, to, change, raw=None):
    """A backup with members changed, its manifest made to fit unless the change made its own."""
    with zipfile.ZipFile(archive) as opened:
        members = {name: opened.read(name) for name in opened.namelist()}
    manifest = json.loads(members["manifest.json"])
    change(members, manifest)
    for name, content in members.items():
        if name in manifest["members"]:
            told = manifest["members"][name]
            if not told.pop("as told", False):
                told |= {"sha256": hashlib.sha256(content).hexdigest(), "bytes": len(content)}
                if name.startswith("rows/"):
                    told["rows"] = content.count(b"\n")
    members["manifest.json"] = json.dumps(manifest).encode()
    path = to / "changed.zip"
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as made:
        for name, content in members.items():
            made.writestr(name, content)
        if raw:
            raw(made)
    return path


def refused(path, monkeypatch, tmp_path):
    """The words of a refusal, after which this place has no more than before."""
    from django.apps import apps

    from jetwright.web.place import RefusedError
    from jetwright.web.restore import restore

    monkeypatch.setenv("JETWRIGHT_DATA", str(tmp_path / "data"))
    with pytest.raises(RefusedError) as error:
        restore(path, False, lambda *_: None)
    for app in ("people", "yard", "jobs", "records", "auditlog"):
        assert not any(model._base_manager.exists() for model in apps.get_app_config(app).get_models())
    left = [one for one in (tmp_path / "data").rglob("*") if one.is_file() and one.name not in OURS]
    assert left == []
    return str(error.value)


def member(name, content=b"x", method=zipfile.ZIP_DEFLATED, mode=0):
    def add(archive):
        info = zipfile.ZipInfo(name)
        info.compress_type = method
        info.external_attr = mode << 16
        archive.writestr(info, content)

    return add


PERSON, PIECE, TASK = "rows/people.person.jsonl", "rows/yard.piece.jsonl", "rows/jobs.task.jsonl"
TRAIL = "rows/auditlog.logentry.jsonl"


def deep_text(levels):
    return '{"x": ' * levels + "1" + "}" * levels


def first(name, /, **fields):
    """Change fields of the first row of a member."""

    def change(members, manifest):
        head, *rest = members[name].splitlines(keepends=True)
        members[name] = json.dumps(json.loads(head) | fields).encode() + b"\n" + b"".join(rest)

    return change


def told(**fields):
    return lambda members, manifest: manifest.update(fields)


def twice(name):
    return lambda members, manifest: members.update({name: members[name] + members[name].splitlines(keepends=True)[0]})


def without(name):
    def change(members, manifest):
        members.pop(name)
        manifest["members"].pop(name)

    return change


def wrong_digest(members, manifest):
    manifest["members"][PERSON] |= {"sha256": "0" * 64, "as told": True}


def wrong_length(members, manifest):
    manifest["members"][PERSON] |= {"bytes": 10, "as told": True}


def wrong_count(members, manifest):
    content = members[PERSON]
    digest = hashlib.sha256(content).hexdigest()
    manifest["members"][PERSON] |= {"rows": 7, "sha256": digest, "bytes": len(content), "as told": True}


def photo_of_nobody(members, manifest):
    name = "photos/00000000-0000-4000-8000-000000000000.jpg"
    members[name] = b"x"
    manifest["members"][name] = {}


def line(name, text):
    return lambda members, manifest: members.update({name: text})


def last_member(name):
    """The last row that is written breaks, when all others are in."""
    return first(name, action=99)


FILE = [  # what is wrong with the file, and a word of what is said
    ("another folder", None, member("../evil"), "leads out"),
    ("an absolute name", None, member("/etc/evil"), "leads out"),
    ("a drive", None, member("C:evil"), "leads out"),
    ("backslashes", None, member("rows\\..\\..\\evil"), "leads out"),
    ("a link", None, member("rows/evil.jsonl", b"/etc/passwd", mode=stat.S_IFLNK | 0o777), "is a link"),
    ("an unknown member", None, member("rows/people.spy.jsonl"), "a member that none has"),
    ("a folder", None, member("rows/"), "a member that none has"),
    ("a member that the manifest has not", None, member(f"photos/{'0' * 8}-0000-4000-8000-{'0' * 12}.jpg"), "not name"),
    ("two of a name", None, member("manifest.json"), "two members"),
    ("a bomb", line(TASK, b" " * 30_000_000), None, "unpacks to more"),
    ("another method", None, member(f"photos/{'0' * 8}-0000-4000-8000-{'0' * 12}.jpg", method=zipfile.ZIP_LZMA), "not"),
    ("a wrong digest", wrong_digest, None, "SHA-256"),
    ("more than was told", wrong_length, None, "unpacks to more"),
    ("fewer rows", wrong_count, None, "as many rows"),
    ("a newer format", told(version=2), None, "newer version"),
    ("no version", told(version="1"), None, "no backup"),
    ("another program's", told(format="else"), None, "no backup"),
    ("members that are no table", told(members=[]), None, "no backup"),
    ("no time", told(made_at="yesterday"), None, "no backup"),
    ("a time that is none", told(made_at=7), None, "no backup"),
    ("signs for the terminal", told(version=2, jetwright="\x1b[2J9"), None, "(\N{REPLACEMENT CHARACTER}[2J9)"),
    ("a member less", without(TASK), None, "lacks the member"),
    ("a photo that no row names", photo_of_nobody, None, "none of its rows names"),
]
ROWS = [  # what is wrong with a row
    ("the same person twice", twice(PERSON), "cannot be kept"),
    ("no crew", first(PIECE, crew="00000000-0000-4000-8000-000000000000"), "points to one that is not there"),
    ("a field too many", first(PERSON, more=1), "fields"),
    ("no JSON", line(TASK, b"{\n"), "no JSON"),
    ("deep JSON", line(TASK, b"[" * 200_000 + b"\n"), "no JSON"),
    ("not a number", line(TASK, b'{"version": NaN}\n'), "no number"),
    ("half a character", line(TASK, b'{"name": "\xff"}\n'), "no JSON"),
    ("a name that is too long", first(PIECE, name="x" * 81), "80"),
    ("another kind", first(PIECE, kind="gun"), "choices"),
    ("no uuid", first(PIECE, uuid="7"), "uuid"),
    ("no time zone", first(PERSON, date_joined="2026-05-12T10:00:00"), "time zone"),
    ("a number for a text", first(PERSON, name=7), "int in place of str"),
    ("a text for yes or no", first(PERSON, is_superuser="yes"), "str in place of bool"),
    ("less than nothing", first(TASK, place=-1), "greater than or equal to 0"),
    ("no base64", first("rows/records.record.jsonl", sheet="%"), "sheet"),
    ("a permission that is none", first(PERSON, user_permissions=[["fly", "people", "crew"]]), "user_permissions"),
    ("a kind of row that is none", first("rows/auditlog.logentry.jsonl", content_type="no.such"), "content_type"),
    ("a spec that is too large", first(PIECE, spec={"x": secrets.token_hex(2_100_000)}), "longer than"),
    ("a list for a table", first(PIECE, spec=[1, 2]), "spec: list in place of a table"),
    ("a text for a table", first(TASK, spec="x"), "spec: str in place of a table"),
    ("a number for a table", first("rows/jobs.job.jsonl", spec=7), "spec: int in place of a table"),
    ("a hose run that is none", first(TASK, spec={"hose_run": 3}), "spec.hose_run: int in place of list"),
    ("a table for a name", first(TASK, spec={"branches": [{"tool": {}}]}), "spec.branches.0.tool: dict in place of"),
    ("a spec that is too deep", first(PIECE, spec=json.loads(deep_text(13))), "within one another"),
    ("changes that are a list", first(TRAIL, changes=[1]), "changes: list in place of a table"),
    ("a change that is none", first(TRAIL, changes={"name": "x"}), "what was and what is"),
    ("a change of three", first(TRAIL, changes={"name": ["a", "b", "c"]}), "what was and what is"),
    ("a change of many that is none", first(TRAIL, changes={"groups": {"type": "m2m"}}), "what was done to which"),
    ("a change that is too deep", first(TRAIL, changes={"spec": ["None", deep_text(500)]}), "within one another"),
    ("the very last row", last_member("rows/auditlog.logentry.jsonl"), "choices"),
]  # fmt: skip


@pytest.mark.django_db
@pytest.mark.parametrize(("change", "raw", "says"), [row[1:] for row in FILE], ids=[row[0] for row in FILE])
@pytest.mark.filterwarnings("ignore:Duplicate name")
def test_a_file_that_is_wrong_is_refused(archive, tmp_path, monkeypatch, change, raw, says):
    path = changed(archive, tmp_path, change or (lambda *_: None), raw)
    assert says in refused(path, monkeypatch, tmp_path)


@pytest.mark.django_db
@pytest.mark.parametrize(("change", "says"), [row[1:] for row in ROWS], ids=[row[0] for row in ROWS])
def test_a_row_that_is_wrong_is_refused(archive, tmp_path, monkeypatch, change, says):
    assert says in refused(changed(archive, tmp_path, change), monkeypatch, tmp_path)


def test_a_table_as_deep_as_it_can_be_read_or_a_little_less_is_refused(archive):
    from jetwright.web.archive import RowError, from_written
    from jetwright.web.yard.models import Piece

    with zipfile.ZipFile(archive) as opened:
        row = json.loads(opened.read(PIECE).splitlines()[0])
    for levels in range(700, 1000, 3):
        text = json.dumps(row | {"spec": "here"}).replace('"here"', deep_text(levels))
        with pytest.raises(RowError):
            from_written(Piece, text.encode())


@pytest.mark.django_db
@pytest.mark.parametrize("cut", [0, 10, 1000, -30, -1000])
def test_half_a_file_is_refused(archive, tmp_path, monkeypatch, cut):
    whole = archive.read_bytes()
    path = tmp_path / "half.zip"
    path.write_bytes(whole[:cut])
    assert "no backup" in refused(path, monkeypatch, tmp_path)


@pytest.mark.django_db
def test_a_flipped_bit_anywhere_is_refused_or_changes_nothing(archive, tmp_path, monkeypatch):
    """Bits of the heads that no reader looks at may be flipped: what is restored is then the same."""
    from jetwright.web.place import RefusedError
    from jetwright.web.restore import opened

    whole = archive.read_bytes()
    path = tmp_path / "flipped.zip"
    refused_count = 0
    for at in range(7, len(whole), len(whole) // 60):
        path.write_bytes(whole[:at] + bytes([whole[at] ^ 16]) + whole[at + 1 :])
        try:
            with opened(path):
                pass
        except RefusedError:
            refused_count += 1
    assert refused_count >= 55


def test_an_address_before_the_beginning_is_refused(archive, tmp_path):
    """Of the list of members at the end (APPNOTE.TXT 4.3.16): the one of its own start, made larger than it is."""
    from jetwright.web.place import RefusedError
    from jetwright.web.restore import opened

    whole = bytearray(archive.read_bytes())
    end = whole.rindex(b"PK\x05\x06")
    start = int.from_bytes(whole[end + 16 : end + 20], "little")
    whole[end + 16 : end + 20] = (start + len(whole)).to_bytes(4, "little")
    path = tmp_path / "moved.zip"
    path.write_bytes(whole)
    with pytest.raises(RefusedError), opened(path):
        pass


@pytest.mark.django_db
def test_what_is_whole_is_taken_in_this_very_way(archive, tmp_path, monkeypatch):
    """Otherwise the refusals above would say nothing."""
    from jetwright.web.people.models import Person
    from jetwright.web.restore import restore

    monkeypatch.setenv("JETWRIGHT_DATA", str(tmp_path / "data"))
    told = restore(changed(archive, tmp_path, lambda *_: None), False, lambda *_: None)
    assert (told.photos, told.findings) == (6, [])
    assert Person.objects.count() == 2
    assert len(list((tmp_path / "data" / "photos").iterdir())) == 6


def test_nothing_out_of_a_backup_steers_the_terminal(archive, make_place, tmp_path):
    """A time that is read has one sign of its own free, and a key is any text."""
    path = changed(archive, tmp_path, told(made_at="2026-05-12\x1b10:00:00+00:00"))
    said = make_place().command("restore", str(path))
    assert "2026-05-12T10:00:00+00:00 is restored" in said
    path = changed(archive, tmp_path, first("rows/records.record.jsonl", key="\x1b[2J"))
    said = make_place().command("restore", str(path))
    assert "\x1b" not in said
    assert "the key \N{REPLACEMENT CHARACTER}[2J" in said


def test_a_file_that_is_none_is_refused(empty, tmp_path):
    assert "cannot be read" in empty.command("restore", str(tmp_path / "none.zip"), code=2)
    (tmp_path / "text.zip").write_text("no zip")
    assert "is no backup" in empty.command("restore", str(tmp_path / "text.zip"), code=2)
    assert not empty.folder.exists()
