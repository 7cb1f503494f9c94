"""Write a backup while the counter runs: one moment of the database, and the photos that its rows name."""

import datetime
import hashlib
import os
import secrets
import shutil
import zipfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from django.db import connection, models, transaction

from jetwright import __version__
from jetwright.report.wording import _
from jetwright.web import place
from jetwright.web.archive import MANIFEST, line_of, manifest_of, rows_names
from jetwright.web.place import RefusedError
from jetwright.web.serve import database_name, reading_database, to_migrate
from jetwright.web.yard.models import Photo

ROWS_AT_A_TIME = 500
Said = Callable[[str, int], None]
"""Told the name of a model and how many rows of it were written; "photos" for the photos' files."""


@dataclass(frozen=True, slots=True)
class Backup:
    """What was written: the file's digest, how many rows and photo files, and the photos that have no file."""

    digest: str
    rows: int
    photos: int
    lost: list[str]


def write_backup(path: Path, overwrite: bool, said: Said) -> Backup:
    """Write a backup to a file that is there whole or not at all, for its owner's eyes alone. [-]"""
    _may_write(path, overwrite)
    with reading_database():
        if connection.vendor == "sqlite" and not Path(connection.settings_dict["NAME"]).is_file():
            raise RefusedError(_("There is no database yet: {database}").format(database=database_name()))
        if to_migrate()[1]:
            raise RefusedError(
                _("{database} is from an older version. Make the backup with that version, or start the counter once.")
                .format(database=database_name())
            )  # fmt: skip
        beside = path.with_name(f".{path.name}.{secrets.token_hex(8)}.part")
        try:
            handle = os.open(beside, os.O_RDWR | os.O_CREAT | os.O_EXCL, 0o600)
            with os.fdopen(handle, "w+b") as file:
                rows, photos, lost = _write(file, said)
                file.flush()
                os.fsync(file.fileno())
                file.seek(0)
                digest = hashlib.file_digest(file, "sha256").hexdigest()
            _may_write(path, overwrite)
            beside.replace(path)
        except OSError as error:
            words = _("{file} cannot be written: {why}")
            raise RefusedError(words.format(file=path, why=error.strerror or error)) from error
        finally:
            beside.unlink(missing_ok=True)
    return Backup(digest, rows, photos, lost)


def _may_write(path: Path, overwrite: bool) -> None:
    if path.exists() and not overwrite:
        raise RefusedError(_("{file} is there already. Choose another name, or --overwrite.").format(file=path))
    if path.is_dir() or not path.parent.is_dir():
        raise RefusedError(_("{file} cannot be written: there is no such folder").format(file=path))


def _write(file: Any, said: Said) -> tuple[int, int, list[str]]:
    members: dict[str, dict[str, Any]] = {}
    with zipfile.ZipFile(file, "w") as archive:
        with _one_moment():
            made_at = datetime.datetime.now(datetime.UTC).isoformat(timespec="seconds")
            for name, model in rows_names():
                members[name] = _rows(archive, name, model)
                said(model._meta.label_lower, members[name]["rows"])
            named = {str(uuid) for uuid in Photo._base_manager.values_list("pk", flat=True)}
        files = [one for one in _listed(place.photos()) if one.name[:36] in named]
        for one in files:
            members[f"photos/{one.name}"] = _photo(archive, f"photos/{one.name}", one)
        said("photos", len(files))
        _put(archive, MANIFEST, manifest_of(made_at, __version__, members))
    lost = sorted(named - {one.name[:36] for one in files})
    return sum(member.get("rows", 0) for member in members.values()), len(files), lost


def _listed(folder: Path) -> list[Path]:
    return sorted(one for one in folder.iterdir() if one.is_file()) if folder.is_dir() else []


@contextmanager
def _one_moment() -> Iterator[None]:
    """Everything read inside is of one moment, and nobody who writes waits for it."""
    if connection.vendor != "sqlite":
        with transaction.atomic():
            with connection.cursor() as cursor:
                cursor.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ, READ ONLY")
            yield
        return
    connection.ensure_connection()
    usual, connection.transaction_mode = connection.transaction_mode, "DEFERRED"  # type: ignore[attr-defined]
    try:
        with transaction.atomic():
            yield
    finally:
        connection.transaction_mode = usual  # type: ignore[attr-defined]


def _rows(archive: zipfile.ZipFile, name: str, model: type[models.Model]) -> dict[str, Any]:
    digest, size, count = hashlib.sha256(), 0, 0
    with archive.open(_member(name, zipfile.ZIP_DEFLATED), "w", force_zip64=True) as member:
        for row in model._base_manager.order_by("pk").iterator(ROWS_AT_A_TIME):
            line = line_of(row)
            member.write(line)
            digest.update(line)
            size += len(line)
            count += 1
    return {"sha256": digest.hexdigest(), "bytes": size, "rows": count}


def _photo(archive: zipfile.ZipFile, name: str, path: Path) -> dict[str, Any]:
    with path.open("rb") as file, archive.open(_member(name, zipfile.ZIP_STORED), "w", force_zip64=True) as member:
        digest = hashlib.file_digest(file, "sha256").hexdigest()
        file.seek(0)
        shutil.copyfileobj(file, member)
        return {"sha256": digest, "bytes": file.tell()}


def _put(archive: zipfile.ZipFile, name: str, text: bytes) -> None:
    with archive.open(_member(name, zipfile.ZIP_DEFLATED), "w") as member:
        member.write(text)


def _member(name: str, method: int) -> zipfile.ZipInfo:
    info = zipfile.ZipInfo(name)
    info.compress_type = method
    info.external_attr = 0o600 << 16
    return info
