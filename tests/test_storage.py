"""Whole files: the old one or the new one, never a piece, and nothing left beside it."""

from __future__ import annotations

import errno
import os
import stat
import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest

from ohmtrail.errors import BusyError, StorageError
from ohmtrail.storage import locks, open_held, whole, write_new, write_whole

ROOT_ID = 0
NOBODY_ID = 65534


@pytest.fixture(params=[True, False], ids=["the file is the lock", "a lock file elsewhere"])
def _locking(
    request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch, tmp_path_factory: pytest.TempPathFactory
) -> None:
    """Both ways of locking."""
    monkeypatch.setattr(locks, "LOCKS_FILES", request.param)
    monkeypatch.setattr("tempfile.tempdir", str(tmp_path_factory.mktemp("temporary")))


@pytest.fixture
def closed_folder() -> Iterator[Path]:
    """A folder with one file in which this user may not write."""
    folder = Path(tempfile.mkdtemp())
    (folder / "sheet.txt").write_text("old", encoding="utf-8")
    (folder / "sheet.txt").chmod(0o666)
    folder.chmod(0o555)
    superuser = os.geteuid() == ROOT_ID
    if superuser:
        os.seteuid(NOBODY_ID)
    try:
        yield folder
    finally:
        if superuser:
            os.seteuid(ROOT_ID)
        folder.chmod(0o755)
        (folder / "sheet.txt").unlink()
        folder.rmdir()


@pytest.mark.usefixtures("_locking")
def test_new_and_old_files_are_written_whole(tmp_path: Path) -> None:
    """The text arrives byte for byte, line ends included, with nothing beside it."""
    path = tmp_path / "sheet.txt"
    for text in ("Ω 1\r\n", "", "a longer text\n" * 1000, "short"):
        write_whole(path, text)
        assert path.read_bytes() == text.encode()
        assert os.listdir(tmp_path) == ["sheet.txt"]


def test_mode_bits_are_kept(tmp_path: Path) -> None:
    """A file for its owner alone stays so; a new one follows the user's mask."""
    path = tmp_path / "sheet.txt"
    old_mask = os.umask(0o027)
    try:
        write_whole(path, "new")
    finally:
        os.umask(old_mask)
    assert stat.S_IMODE(path.stat().st_mode) == 0o640
    path.chmod(0o600)
    write_whole(path, "other")
    assert stat.S_IMODE(path.stat().st_mode) == 0o600


def test_link_is_followed(tmp_path: Path) -> None:
    """The file behind a link is written, and the link stays one, even before there is a file."""
    (tmp_path / "papers").mkdir()
    link = tmp_path / "sheet.txt"
    link.symlink_to("papers/real.txt")
    for text in ("one", "two"):
        write_whole(link, text)
        assert link.is_symlink()
        assert (tmp_path / "papers" / "real.txt").read_text(encoding="utf-8") == text
    assert os.listdir(tmp_path / "papers") == ["real.txt"]


def test_plain_name_in_the_working_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A bare name and a very long one work too."""
    monkeypatch.chdir(tmp_path)
    names = sorted(("sheet.txt", "n" * 251, "Ω" * 120))
    for name in names:
        write_whole(name, "text")
    assert sorted(os.listdir()) == names


def test_write_new_keeps_what_is_there(tmp_path: Path) -> None:
    """A name that is taken is refused, and nothing stays beside it."""
    path = tmp_path / "bike.job"
    write_new(path, "first")
    with pytest.raises(FileExistsError):
        write_new(path, "second")
    assert path.read_text(encoding="utf-8") == "first"
    assert os.listdir(tmp_path) == ["bike.job"]


def test_left_over_draft_is_used_up(tmp_path: Path) -> None:
    """What a killed program left under the draft name is gone after the next write."""
    path = tmp_path / "sheet.txt"
    Path(whole._draft(str(path))).write_text("a piece, longer than the new text", encoding="utf-8")
    write_whole(path, "new")
    assert path.read_text(encoding="utf-8") == "new"
    assert os.listdir(tmp_path) == ["sheet.txt"]


def test_draft_that_is_a_link_is_not_followed(tmp_path: Path) -> None:
    """A link planted under the draft name does not lead the text elsewhere."""
    victim = tmp_path / "victim.txt"
    victim.write_text("mine", encoding="utf-8")
    path = tmp_path / "sheet.txt"
    Path(whole._draft(str(path))).symlink_to(victim)
    with pytest.raises(StorageError, match="cannot write"):
        write_whole(path, "new")
    assert victim.read_text(encoding="utf-8") == "mine"


@pytest.mark.usefixtures("_locking")
def test_two_at_once_say_busy(tmp_path: Path) -> None:
    """While another program writes the same file, the sentence names the file, not its draft."""
    path = tmp_path / "sheet.txt"
    with open_held(whole._draft(str(path)), os.O_RDWR | os.O_CREAT):
        for write in (write_whole, write_new):
            with pytest.raises(BusyError, match=r"sheet\.txt' is being written"):
                write(path, "new", timeout_s=0.05)
    assert not path.exists()


@pytest.mark.parametrize("call", ["write", "fsync", "replace", "ftruncate"])
@pytest.mark.parametrize("there", [True, False])
def test_refusal_leaves_the_old_file(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, call: str, there: bool
) -> None:
    """Whichever step fails for want of room, the old file stays and the draft goes."""
    path = tmp_path / "sheet.txt"
    if there:
        path.write_text("old", encoding="utf-8")

    def full(*_: object) -> int:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(os, call, full)
    for write in (write_whole,) if there else (write_whole, write_new):
        with pytest.raises(
            StorageError, match=r"cannot write '.*sheet\.txt': No space left on device; make room"
        ):
            write(path, "new")
    monkeypatch.undo()
    assert os.listdir(tmp_path) == (["sheet.txt"] if there else [])
    assert not there or path.read_text(encoding="utf-8") == "old"


def test_read_only_folder(closed_folder: Path) -> None:
    """A folder in which nothing may be made is named as read-only, for old files and new ones."""
    for name in ("sheet.txt", "other.txt"):
        with pytest.raises(StorageError, match="the file or its folder is read-only for you"):
            write_whole(closed_folder / name, "new")
    with pytest.raises(StorageError, match="read-only for you"):
        write_new(closed_folder / "other.txt", "new")
    assert os.listdir(closed_folder) == ["sheet.txt"]


def test_read_only_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A file made read-only on purpose is not replaced behind its owner's back."""
    path = tmp_path / "sheet.txt"
    path.write_text("old", encoding="utf-8")
    monkeypatch.setattr(os, "access", lambda *_: False)
    with pytest.raises(StorageError, match="Permission denied"):
        write_whole(path, "new")
    assert path.read_text(encoding="utf-8") == "old"


def test_paths_that_cannot_be_written(tmp_path: Path) -> None:
    """A folder, a device, no folder, a file for a folder, a name that cannot be: one sentence each."""
    (tmp_path / "file").write_text("x", encoding="utf-8")
    (tmp_path / "loop").symlink_to("loop")
    for path, said in (
        (tmp_path, "it is a folder, not a file"),
        (Path("/dev/full"), "it is a device or pipe, not a file"),
        (tmp_path / "nowhere" / "a", "its folder does not exist"),
        (tmp_path / "file" / "a", "its folder is a file"),
        (tmp_path / ("x" * 300), "cannot write"),
        (tmp_path / "a\0b", "cannot write"),
        (tmp_path / "loop", "cannot write"),
    ):
        with pytest.raises(StorageError, match=said) as caught:
            write_whole(path, "text")
        assert "\n" not in str(caught.value)
    assert sorted(os.listdir(tmp_path)) == ["file", "loop"]


def test_half_a_character(tmp_path: Path) -> None:
    """Text that has no UTF-8 is refused before anything is touched."""
    with pytest.raises(StorageError, match="half a character"):
        write_whole(tmp_path / "sheet.txt", "0.4 \udcb0")
    assert os.listdir(tmp_path) == []
