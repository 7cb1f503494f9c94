"""Put a backup back into an empty place: everything of it, or nothing."""

import datetime
import hashlib
import json
import secrets
import shutil
import stat
import tempfile
import zipfile
import zlib
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import IO, Any

from auditlog.models import LogEntry
from django.conf import settings
from django.contrib.contenttypes.models import ContentType
from django.core.management import call_command
from django.core.management.color import no_style
from django.db import DatabaseError, connection, connections, models, transaction
from django.db.utils import load_backend

from jetwright.report.wording import _
from jetwright.web import place
from jetwright.web.archive import (
    FORMAT,
    MANIFEST,
    PHOTO,
    VERSION,
    RowError,
    from_written,
    kept_fields,
    kept_models,
    rows_names,
    seen,
)
from jetwright.web.people.models import Crew, Person
from jetwright.web.place import RefusedError
from jetwright.web.records.models import Record
from jetwright.web.records.seal import check_crew, known_keys, words_for
from jetwright.web.serve import make_place, reading_database
from jetwright.web.yard.models import Photo

MOST_MEMBERS = 200_000
MOST_BYTES = 64 * 1024**3
"""Most that all members may hold together, unpacked."""
MOST_MANIFEST = 64 * 1024**2
MOST_LINE = 64 * 1024**2
"""Most bytes of one row: a record with its sheet has some hundred thousand."""
MOST_RATIO = 200
"""Most that a member may be larger than its share of the file; rows of a real place are some 10 times larger."""
SMALL = 1024**2
"""Members up to this many bytes may be packed as tightly as they are."""
AT_A_TIME = 1024**2

_UNREADABLE = (zipfile.BadZipFile, zlib.error, EOFError, NotImplementedError, OSError, RuntimeError, ValueError)
"""What a reader of damaged zip files raises; an OSError where an address in it lies before the file's beginning."""
Said = Callable[[str, int], None]


@dataclass(frozen=True, slots=True)
class Restored:
    """What was put back: digest and time of the backup, rows, photo files, what is wrong with seals, unknown keys."""

    digest: str
    made_at: str
    rows: int
    photos: int
    findings: list[str]
    keys: list[str]


@dataclass(frozen=True, slots=True)
class Opened:
    """A backup that is whole: its archive, its digest, when it was made, and what its manifest says of each member."""

    archive: zipfile.ZipFile
    digest: str
    made_at: str
    members: Mapping[str, Mapping[str, Any]]


def restore(path: Path, dry_run: bool, said: Said) -> Restored:
    """Verify a backup, and put it back unless this is a dry run; the place must have nobody in it yet. [-]"""
    try:
        return _restore(path, dry_run, said)
    except RefusedError as error:
        raise RefusedError(seen(str(error))) from error


def _restore(path: Path, dry_run: bool, said: Said) -> Restored:
    with reading_database():
        _nobody_here()
    with opened(path) as backup:
        if dry_run:
            with tempfile.TemporaryDirectory() as folder, _database_in(Path(folder)), reading_database():
                return _put_back(backup, None, said)
        make_place(lambda line: None, alone=True)
        for left in place.folder().glob(".restoring-*"):  # by a restore that was killed
            shutil.rmtree(left, ignore_errors=True)
        staged = place.folder() / f".restoring-{secrets.token_hex(8)}"
        try:
            staged.mkdir(0o700)
            with reading_database():
                return _put_back(backup, staged, said)
        except OSError as error:
            words = _("{folder} cannot be written: {why}")
            raise RefusedError(words.format(folder=place.folder(), why=error.strerror or error)) from error
        finally:
            shutil.rmtree(staged, ignore_errors=True)


# ---- the file


@contextmanager
def opened(path: Path) -> Iterator[Opened]:
    """A backup, once all of it was read and is what its manifest says; RefusedError. [-]"""
    try:
        file = path.open("rb")
    except OSError as error:
        raise RefusedError(_("{file} cannot be read: {why}").format(file=path, why=error.strerror)) from error
    with file:
        try:
            archive = zipfile.ZipFile(file)
        except _UNREADABLE as error:
            raise RefusedError(_("{file} is no backup: it is not a zip file").format(file=path)) from error
        with archive:
            try:
                manifest = _manifest(archive)
                for name, told in manifest["members"].items():
                    _verify(archive, name, told)
            except _UNREADABLE as error:
                raise RefusedError(_("{file} is damaged: {why}").format(file=path, why=error)) from error
            file.seek(0)
            yield Opened(
                archive, hashlib.file_digest(file, "sha256").hexdigest(), manifest["made_at"], manifest["members"]
            )


def _manifest(archive: zipfile.ZipFile) -> dict[str, Any]:
    """The manifest, once it and the list of members are such as `jetwright backup` writes."""
    infos = archive.infolist()
    if len(infos) > MOST_MEMBERS:
        raise RefusedError(_("The backup has {n} members; {most} are read").format(n=len(infos), most=MOST_MEMBERS))
    names: set[str] = set()
    for info in infos:
        if info.filename in names:
            raise RefusedError(_("The backup has two members {name}").format(name=info.filename))
        names.add(info.filename)
        _may_be_read(info)
    if sum(info.file_size for info in infos) > MOST_BYTES:
        raise RefusedError(_("The backup unpacks to more than {most} bytes").format(most=MOST_BYTES))
    if MANIFEST not in names:
        raise RefusedError(_("It is no backup: it has no {name}").format(name=MANIFEST))
    manifest = json.loads(b"".join(_read(archive, MANIFEST, MOST_MANIFEST)))
    if not isinstance(manifest, dict) or manifest.get("format") != FORMAT or type(manifest.get("version")) is not int:
        raise RefusedError(_("It is no backup of Jetwright"))
    if manifest["version"] > VERSION:
        raise RefusedError(
            _("The backup was made by a newer version of Jetwright ({version}). Install that version.").format(
                version=manifest.get("jetwright")
            )
        )
    told = manifest.get("members")
    if not isinstance(told, dict):
        raise RefusedError(_("It is no backup of Jetwright"))
    try:
        manifest["made_at"] = datetime.datetime.fromisoformat(manifest["made_at"]).isoformat()
    except (KeyError, TypeError, ValueError) as error:
        raise RefusedError(_("It is no backup of Jetwright")) from error
    for name in sorted(names - {MANIFEST} - told.keys()):
        raise RefusedError(_("The manifest does not name the member {name}").format(name=name))
    for name in sorted((told.keys() | {name for name, _model in rows_names()}) - names):
        raise RefusedError(_("The backup lacks the member {name}").format(name=name))
    return manifest


def _may_be_read(info: zipfile.ZipInfo) -> None:
    name = info.filename
    if name.startswith(("/", "\\")) or ":" in name or ".." in name.replace("\\", "/").split("/"):
        raise RefusedError(_("The member {name} leads out of the backup").format(name=name))
    if stat.S_IFMT(info.external_attr >> 16) not in (0, stat.S_IFREG):
        raise RefusedError(_("The member {name} is a link, not a file").format(name=name))
    if name != MANIFEST and name not in {known for known, _model in rows_names()} and not PHOTO.fullmatch(name):
        raise RefusedError(_("The backup has a member that none has: {name}").format(name=name))
    tight = info.file_size > SMALL and info.file_size > MOST_RATIO * max(1, info.compress_size)
    if tight or (PHOTO.fullmatch(name) and info.file_size > settings.MOST_PHOTO_BYTES):
        raise RefusedError(_("The member {name} unpacks to more than it may").format(name=name))


def _verify(archive: zipfile.ZipFile, name: str, told: Mapping[str, Any]) -> None:
    """Whether a member is, byte for byte, what the manifest says; OSError is the caller's."""
    if not isinstance(told, dict) or type(told.get("bytes")) is not int:
        raise RefusedError(_("It is no backup of Jetwright"))
    digest, size = hashlib.sha256(), 0
    for part in _read(archive, name, told["bytes"]):
        digest.update(part)
        size += len(part)
    if size != told["bytes"] or digest.hexdigest() != told.get("sha256"):
        raise RefusedError(_("The member {name} is not what the manifest says: its SHA-256 differs").format(name=name))


def _read(archive: zipfile.ZipFile, name: str, most: int) -> Iterator[bytes]:
    """The bytes of a member, counted while they are unpacked, whatever its head says."""
    with archive.open(name) as member:
        size = 0
        while part := member.read(AT_A_TIME):
            size += len(part)
            if size > most:
                raise RefusedError(_("The member {name} unpacks to more than it may").format(name=name))
            yield part


# ---- the rows


def _put_back(backup: Opened, staged: Path | None, said: Said) -> Restored:
    """Rows and photos in one transaction, the photos moved in as its last act; staged None: nothing is moved."""
    moved: list[Path] = []
    count = 0
    try:
        with transaction.atomic():
            _nobody_here()
            joins: list[tuple[models.Model, dict[str, list[Any]]]] = []
            for name, model in rows_names():
                rows = 0
                for row, joined in _rows(backup, name, model):
                    _add(row, name, rows + 1)
                    joins += [(row, joined)] if any(joined.values()) else []
                    rows += 1
                if rows != backup.members[name].get("rows"):
                    raise RefusedError(_("The member {name} has not as many rows as it should").format(name=name))
                count += rows
                said(model._meta.label_lower, rows)
            for row, joined in joins:
                _join(row, joined)
            _hold_together()
            findings, keys = _seals()
            photos = _photos(backup, staged)
            said("photos", len(photos))
            _tell(backup, count, len(photos))
            if staged is not None:
                for name in photos:
                    target = place.photos() / name
                    (staged / name).replace(target)
                    moved.append(target)
    except BaseException:
        for one in moved:
            one.unlink(missing_ok=True)
        raise
    return Restored(backup.digest, backup.made_at, count, len(photos), findings, keys)


def _nobody_here() -> None:
    """Only an empty place is restored into; where others could make it full meanwhile, they wait."""
    tables = set(connection.introspection.table_names()) if _is_there() else set()
    if Person._meta.db_table not in tables:
        return
    if connection.vendor == "postgresql" and connection.in_atomic_block:
        with connection.cursor() as cursor:
            cursor.execute(f'LOCK TABLE "{Person._meta.db_table}" IN EXCLUSIVE MODE')
    full = [model for model in kept_models() if model._meta.db_table in tables and model is not LogEntry]
    if any(model._base_manager.exists() for model in full):
        raise RefusedError(
            _("There are people here already. A backup is restored into an empty place only: another --data folder, or "
              "another DATABASE_URL.")
        )  # fmt: skip


def _is_there() -> bool:
    """Whether there is a database at all; SQLite would make one by looking."""
    name = str(connection.settings_dict["NAME"])
    return connection.vendor != "sqlite" or "memory" in name or Path(name).is_file()


def _rows(backup: Opened, name: str, model: type[models.Model]) -> Iterator[tuple[models.Model, dict[str, list[Any]]]]:
    with backup.archive.open(name) as member:
        for number, line in enumerate(_lines(member, name), 1):
            try:
                yield from_written(model, line)
            except RowError as error:
                raise RefusedError(_row_words(name, number, str(error))) from error


def _lines(member: IO[bytes], name: str) -> Iterator[bytes]:
    while line := member.readline(MOST_LINE + 1):
        if len(line) > MOST_LINE:
            raise RefusedError(_("The member {name} has a row that is longer than it may be").format(name=name))
        yield line


def _add(row: models.Model, name: str, number: int) -> None:
    """Insert a row as it is: no time is set anew, and the trail, which comes with it, gets no line."""
    try:
        query = models.sql.InsertQuery(type(row))
        query.insert_values(kept_fields(type(row)), [row], raw=True)
        query.get_compiler(connection=connection).execute_sql()
    except (DatabaseError, ValueError, OverflowError) as error:
        raise RefusedError(_row_words(name, number, str(error))) from error


def _join(row: models.Model, joined: Mapping[str, list[Any]]) -> None:
    for field in row._meta.many_to_many:
        through: Any = field.remote_field.through
        near, far = field.m2m_field_name(), field.m2m_reverse_field_name()
        pairs = [through(**{f"{near}_id": row.pk, f"{far}_id": key}) for key in joined[field.name]]
        through._base_manager.bulk_create(pairs)


def _row_words(name: str, number: int, why: str) -> str:
    return _("{member}, row {n}: it cannot be kept: {why}").format(
        member=name, n=number, why=why.strip().split("\n")[0]
    )


def _hold_together() -> None:
    """Every row that a row points to is there, and what is numbered goes on behind the highest number."""
    try:
        connection.check_constraints()
    except DatabaseError as error:
        why = str(error).strip().split("\n")[0]
        raise RefusedError(_("A row points to one that is not there: {why}").format(why=why)) from error
    numbered = [model for model in kept_models() if isinstance(model._meta.pk, models.AutoField)]
    with connection.cursor() as cursor:
        for statement in connection.ops.sequence_reset_sql(no_style(), numbered):
            cursor.execute(statement)


def _seals() -> tuple[list[str], list[str]]:
    """What is wrong with the records in words, and the keys that sealed them and are not known here."""
    found = [finding for crew in Crew._base_manager.all() for finding in check_crew(crew) if finding.what != "key"]
    used = set(Record._base_manager.values_list("key", flat=True).distinct().order_by())
    return [words_for(finding) for finding in found], sorted(seen(key) for key in used - known_keys())


def _tell(backup: Opened, rows: int, photos: int) -> None:
    """The one entry of the trail that says that all before it came out of a backup."""
    LogEntry._base_manager.create(
        content_type=ContentType.objects.get_for_model(LogEntry),
        object_pk=backup.digest,
        object_repr="restored from a backup",
        action=LogEntry.Action.CREATE,
        additional_data={"restored": backup.digest, "made_at": backup.made_at, "rows": rows, "photos": photos},
    )


# ---- the photos


def _photos(backup: Opened, staged: Path | None) -> list[str]:
    """The names of the photos' files, each of a photo that has a row; they are written to the staging folder."""
    known = {str(uuid) for uuid in Photo._base_manager.values_list("pk", flat=True)}
    names = []
    for name in backup.members:
        found = PHOTO.fullmatch(name)
        if found is None:
            continue
        if found["uuid"] not in known:
            raise RefusedError(_("The backup has a photo that none of its rows names: {name}").format(name=name))
        names.append(name.removeprefix("photos/"))
        if staged is not None:
            with (staged / names[-1]).open("xb") as file:
                (staged / names[-1]).chmod(0o600)
                for part in _read(backup.archive, name, settings.MOST_PHOTO_BYTES):
                    file.write(part)
    return names


# ---- a dry run


@contextmanager
def _database_in(folder: Path) -> Iterator[None]:
    """Work on an empty SQLite database in that folder, and on no other."""
    target = connections["default"]
    target.close()
    told = {**target.settings_dict, "ENGINE": "django.db.backends.sqlite3", "NAME": folder / "dry.sqlite3"}
    told["OPTIONS"] = {"transaction_mode": "IMMEDIATE"}
    connections["default"] = load_backend(told["ENGINE"]).DatabaseWrapper(told, "default")
    ContentType.objects.clear_cache()
    try:
        call_command("migrate", verbosity=0, interactive=False)
        yield
    finally:
        connections["default"].close()
        connections["default"] = target
        ContentType.objects.clear_cache()
