"""The compiled cache lies in folders of this user alone."""

import pathlib

import pytest

from jetwright.solve.fast import cache_folder


@pytest.fixture
def home(tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path))
    return tmp_path


def test_every_folder_of_ours_is_closed_to_others(home):
    folder = cache_folder()
    assert folder is not None
    assert folder.is_relative_to(home)
    for one in (folder, folder.parent, folder.parent.parent):
        assert one.stat().st_mode & 0o077 == 0


def test_a_folder_others_can_write_to_is_not_used(home):
    (home / "jetwright" / "kernels").mkdir(parents=True)
    (home / "jetwright").chmod(0o700)
    (home / "jetwright" / "kernels").chmod(0o777)
    assert cache_folder() is None


def test_a_link_is_not_followed(home):
    folder = cache_folder()
    target = home / "elsewhere"
    target.mkdir(mode=0o755)
    folder.rmdir()
    folder.symlink_to(target)
    assert cache_folder() is None
    assert pathlib.Path(target).stat().st_mode & 0o777 == 0o755
