"""A backup: all that a place keeps, of one moment, while others write, for its owner alone."""

import json
import stat
import zipfile

import pytest

KEPT = {
    "auth.group", "people.person", "people.crew", "people.membership", "yard.piece", "yard.photo", "jobs.job",
    "jobs.task", "records.record", "auditlog.logentry",
}  # fmt: skip


def lines(path, model):
    with zipfile.ZipFile(path) as archive:
        return [json.loads(line) for line in archive.read(f"rows/{model}.jsonl").splitlines()]


def test_every_model_is_kept_or_left_out_on_purpose():
    from django.apps import apps

    from jetwright.web.archive import kept_models
    from tests.web.acts import NOT_COMPARED

    assert {model._meta.label_lower for model in kept_models()} == KEPT
    assert {model._meta.label_lower for model in apps.get_models()} == KEPT | NOT_COMPARED


def test_a_model_stands_behind_those_that_it_points_to():
    from jetwright.web.archive import kept_models

    placed = []
    for model in kept_models():
        pointed_to = {field.related_model for field in model._meta.concrete_fields if field.related_model} - {model}
        assert pointed_to & set(kept_models()) <= set(placed)
        placed.append(model)


def test_its_manifest_says_how_much_there_is_of_each(archive, full_rows):
    with zipfile.ZipFile(archive) as opened:
        manifest = json.loads(opened.read("manifest.json"))
        assert set(manifest["members"]) | {"manifest.json"} == set(opened.namelist())
    assert (manifest["format"], manifest["version"]) == ("jetwright backup", 1)
    for model in KEPT:
        assert manifest["members"][f"rows/{model}.jsonl"]["rows"] == len(full_rows[model]), model
        assert len(full_rows[model]) > 0, f"nothing of {model} is tried"


def test_photos_are_those_that_rows_name(archive, full):
    named = {row["uuid"] for row in lines(archive, "yard.photo")}
    with zipfile.ZipFile(archive) as opened:
        photos = {name: opened.read(name) for name in opened.namelist() if name.startswith("photos/")}
    assert len(photos) == 6
    assert {name[len("photos/") :][:36] for name in photos} == named
    assert all(full.files()[name] == content for name, content in photos.items())


def test_no_secret_of_the_place_is_in_it(archive, full):
    with zipfile.ZipFile(archive) as opened:
        everything = b"".join(opened.read(name) for name in opened.namelist())
    secrets = [full.files()[name] for name in ("session.key", "seal.key")]
    assert [secret for secret in secrets if secret in everything or secret.hex().encode() in everything] == []
    assert b"Nine herons wade" not in everything
    assert b'"password":"pbkdf2' in everything  # hashed: who is restored can enter


def test_nobody_else_may_read_it(archive):
    assert stat.S_IMODE(archive.stat().st_mode) == 0o600


def test_it_says_what_it_wrote(full, tmp_path):
    said = full.command("backup", str(tmp_path / "one.zip"))
    assert "2  people\n" in said
    assert "6  files of photos\n" in said
    assert "SHA-256" in said
    assert [path.name for path in tmp_path.iterdir()] == ["one.zip"]


def test_it_replaces_nothing_unless_told_to(full, tmp_path):
    path = tmp_path / "one.zip"
    path.write_text("mine")
    assert "is there already" in full.command("backup", str(path), code=2)
    assert path.read_text() == "mine"
    full.command("backup", str(path), "--overwrite")
    assert zipfile.is_zipfile(path)
    assert stat.S_IMODE(path.stat().st_mode) == 0o600


def test_a_folder_that_is_not_there_is_refused(full, tmp_path):
    assert "no such folder" in full.command("backup", str(tmp_path / "none" / "one.zip"), code=2)


def test_where_there_is_no_place_nothing_is_made(make_place, tmp_path):
    nowhere = make_place("sqlite")
    assert "There is no database yet" in nowhere.command("backup", str(tmp_path / "one.zip"), code=2)
    assert not nowhere.folder.exists()


def test_a_photo_without_its_file_is_told(empty, tmp_path):
    lost = empty.act("photo_without_file")
    said = empty.command("backup", str(tmp_path / "one.zip"), code=1)
    assert f"1 photo has no file: {lost}" in said
    assert "Key of this counter's seals" not in said  # nothing was sealed here yet, and a backup makes no key
    assert "seal.key" not in empty.files()


def test_it_is_of_one_moment_while_others_write(empty, tmp_path):
    """Each job is written with its two tasks: in no backup is there one without the other, and no writer waits."""
    empty.act("people")
    told = empty.act("backups_while_writing", folder=str(tmp_path), count=4)
    counts = []
    for number in range(4):
        jobs = {row["uuid"] for row in lines(tmp_path / f"{number}.zip", "jobs.job")}
        tasks = [row["job"] for row in lines(tmp_path / f"{number}.zip", "jobs.task")]
        assert sorted(tasks) == sorted([*jobs, *jobs])
        logged = lines(tmp_path / f"{number}.zip", "auditlog.logentry")
        assert {row["object_pk"] for row in logged if row["content_type"] == "jobs.job"} == jobs
        counts.append(len(jobs))
    assert counts == sorted(counts)
    assert counts[-1] > counts[0], "nobody wrote meanwhile"
    assert told["slowest"] < 2.0  # 20 s is what a writer would wait for a lock


@pytest.mark.parametrize("words", ["backup", "restore"])
def test_help_needs_no_counter(empty, words):
    assert "Example: jetwright " + words in empty.command(words, "--help")
    assert not empty.folder.exists()
