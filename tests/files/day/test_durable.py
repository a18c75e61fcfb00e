"""A file is whole, old or new; a full disk, a closed door and a vanished folder are said in words. For real."""

import os
import resource
import shutil
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import pytest

from balance.files.day.durable import glance, read_stamped, write_atomically
from balance.files.day.lock import LOCK_FILE, take_lock
from balance.files.day.processes import hidden_folder, hidden_path, runs, sweep_leftovers
from balance.model.errors import AlreadyOpen, SaveError

NOBODY = 65534  # a user id without rights, on every Unix


def in_child(code, *arguments, user=None):
    """Run a piece of code in a process of its own, as somebody without rights where we have all of them."""
    become = (
        f"import os; os.setgid({user}); os.setuid({user})\n" if user is not None and os.geteuid() == 0 else ""
    )
    start = "import sys; import balance.files.day.opening, balance.files.day.lock\n"
    done = subprocess.run(
        [sys.executable, "-c", start + become + code, *map(str, arguments)],
        capture_output=True, text=True, timeout=60, check=False,
    )  # fmt: skip
    assert done.stderr == ""
    return done.stdout.strip()


def names(folder):
    return sorted(path.name for path in folder.iterdir())


WRITE = """
from pathlib import Path
from balance.model.errors import SaveError
from balance.files.day.durable import write_atomically
try:
    write_atomically(Path(sys.argv[1]), b"n" * int(sys.argv[2]))
    print("written")
except SaveError as error:
    print(error)
"""


@pytest.fixture
def file():
    """A file in a folder that others may look into, unlike those of the test runner."""
    with tempfile.TemporaryDirectory() as folder:
        Path(folder).chmod(0o755)
        path = Path(folder) / "runs.csv"
        path.write_bytes(b"old")
        yield path


def test_a_file_is_replaced_and_nothing_is_left_beside_it(file):
    stamp = write_atomically(file, b"new")
    assert read_stamped(file) == (b"new", stamp)
    assert stamp.looks_like(glance(file))
    assert names(file.parent) == ["runs.csv"]


@pytest.mark.parametrize("mode", [0o600, 0o640, 0o664, 0o755])
def test_permissions_are_kept(file, mode):
    file.chmod(mode)
    write_atomically(file, b"new")
    assert file.stat().st_mode & 0o7777 == mode


def test_a_new_file_has_the_permissions_that_are_usual(tmp_path):
    write_atomically(tmp_path / "a", b"")
    (tmp_path / "b").touch()
    assert (tmp_path / "a").stat().st_mode == (tmp_path / "b").stat().st_mode


def test_a_link_stays_a_link(file):
    link = file.with_name("link.csv")
    link.symlink_to(file)
    write_atomically(link, b"new")
    assert link.is_symlink()
    assert file.read_bytes() == b"new"


def test_what_must_be_new_never_replaces(file):
    with pytest.raises(
        SaveError,
        match="found a file there already, expected none; choose another name; nothing was overwritten",
    ):
        write_atomically(file, b"new", new=True)
    assert file.read_bytes() == b"old"
    assert names(file.parent) == ["runs.csv"]


HALF = """
import os, signal
from pathlib import Path
from balance.files.day.processes import hidden_folder, hidden_path
file = Path(sys.argv[1])
hidden_path(file).write_bytes(b"ha")
(hidden_folder(file.with_name("spring")) / "runs.csv").write_bytes(b"ha")
os.kill(os.getpid(), signal.SIGKILL)
"""


def test_what_a_killed_process_left_is_swept(file):
    in_child(HALF, file)
    assert len(names(file.parent)) == 3
    sweep_leftovers(file.parent)
    assert names(file.parent) == ["runs.csv"]


def test_a_save_sweeps_what_a_killed_one_of_the_same_file_left(file):
    in_child(HALF, file)
    write_atomically(file, b"new")
    left = [name for name in names(file.parent) if name != "runs.csv"]
    assert [name.partition(".spring.")[0] for name in left] == [""]


def test_what_is_still_being_written_is_let_be(file):
    hidden_path(file).write_bytes(b"ha")
    (hidden_folder(file.with_name("spring")) / "runs.csv").write_bytes(b"ha")
    before = names(file.parent)
    sweep_leftovers(file.parent)
    assert names(file.parent) == before


def test_what_another_computer_left_is_swept_once_nobody_can_be_writing_it(file):
    elsewhere = file.with_name(".runs.csv.4-99-00000000.axletrim-tmp")
    elsewhere.write_bytes(b"ha")
    sweep_leftovers(file.parent)
    assert elsewhere.exists()
    two_days_ago = time.time() - 2 * 86400
    os.utime(elsewhere, (two_days_ago, two_days_ago))
    sweep_leftovers(file.parent)
    assert names(file.parent) == ["runs.csv"]


def test_other_hidden_files_are_nobodys_leftovers(file):
    for name in (".notes", ".runs.csv.swp", "mine.axletrim-tmp"):
        file.with_name(name).write_bytes(b"keep")
        os.utime(file.with_name(name), (0, 0))
    before = names(file.parent)
    sweep_leftovers(file.parent)
    assert names(file.parent) == before


def test_a_name_as_long_as_a_name_may_be_is_saved_as_well(tmp_path):
    file = tmp_path / f"{'n' * 251}.csv"
    write_atomically(file, b"new")
    assert names(tmp_path) == [file.name]


def test_a_disk_that_takes_no_more_leaves_the_old_file(file):
    limit = "import resource; resource.setrlimit(resource.RLIMIT_FSIZE, (1000, 1000))\n"
    words = in_child(limit + WRITE, file, 5000)
    assert words == f"{file}: found a full disk, expected room to write; free some space and save again"
    assert file.read_bytes() == b"old"
    assert names(file.parent) == ["runs.csv"]
    assert resource.getrlimit(resource.RLIMIT_FSIZE)[0] != 1000


def test_a_disk_that_is_really_full_leaves_the_old_file(tmp_path):
    """A small disk in memory where it may be mounted; the limit above stands for it elsewhere."""
    disk = tmp_path / "disk"
    disk.mkdir()
    mounted = (
        os.geteuid() == 0
        and not subprocess.run(
            ["mount", "-t", "tmpfs", "-o", "size=64k", "tmpfs", disk], capture_output=True, check=False
        ).returncode
    )
    try:
        file = disk / "runs.csv"
        file.write_bytes(b"old")
        if mounted:
            words = in_child(WRITE, file, 100_000)
            assert (
                words == f"{file}: found a full disk, expected room to write; free some space and save again"
            )
        assert file.read_bytes() == b"old"
        assert names(disk) == ["runs.csv"]
    finally:
        if mounted:
            subprocess.run(["umount", disk], check=True)


def test_a_closed_folder_is_said_plainly(file):
    file.parent.chmod(0o555)
    try:
        words = in_child(WRITE, file, 10, user=NOBODY)
    finally:
        file.parent.chmod(0o755)
    assert words == (
        f"{file}: found no permission to write, expected a file and folder that may be written; "
        "give yourself the right to write there, or copy the day elsewhere"
    )
    assert file.read_bytes() == b"old"


def test_a_file_that_was_made_read_only_is_not_replaced(file):
    file.parent.chmod(0o777)
    file.chmod(0o444)
    assert "found no permission to write" in in_child(WRITE, file, 10, user=NOBODY)
    assert file.read_bytes() == b"old"


def test_a_vanished_folder_is_said_plainly(file):
    file = file.parent / "gone" / "runs.csv"
    with pytest.raises(SaveError) as caught:
        write_atomically(file, b"new")
    assert (
        str(caught.value)
        == f"{file}: found its folder gone, expected the folder as it was; bring it back and save again"
    )


TAKE = """
from pathlib import Path
from balance.model.errors import AlreadyOpen
from balance.files.day.lock import take_lock
try:
    take_lock(Path(sys.argv[1]), shown_as="day")
    print("taken")
except AlreadyOpen as error:
    print(error)
"""


def test_a_second_copy_is_told_who_holds_the_lock(tmp_path):
    lock = take_lock(tmp_path, shown_as="day")
    words = in_child(TAKE, tmp_path)
    assert words.startswith(f"day: found it open in another axletrim (process {os.getpid()} on ")
    assert words.endswith("), expected to be the only one; close the other one first")
    with pytest.raises(AlreadyOpen):
        take_lock(tmp_path, shown_as="day")
    lock.release()
    assert names(tmp_path) == []


def test_a_process_that_ended_and_was_not_asked_after_yet_does_not_run():
    child = subprocess.Popen([sys.executable, "-c", ""])
    os.waitid(os.P_PID, child.pid, os.WEXITED | os.WNOWAIT)  # it has ended, and stays in the table
    os.kill(child.pid, 0)  # which finds it still
    assert not runs(child.pid)
    child.wait()
    assert not runs(child.pid)
    assert runs(os.getpid())


def test_the_lock_of_a_process_that_has_ended_is_taken_over(tmp_path):
    assert in_child(TAKE, tmp_path) == "taken"  # and it ends without giving it back
    assert names(tmp_path) == [LOCK_FILE]
    lock = take_lock(tmp_path, shown_as="day")
    assert f'"pid": {os.getpid()}' in (tmp_path / LOCK_FILE).read_text()
    lock.release()


def test_a_lock_that_came_with_a_copied_folder_does_not_block(tmp_path):
    (tmp_path / "day").mkdir()
    lock = take_lock(tmp_path / "day", shown_as="day")
    shutil.copytree(tmp_path / "day", tmp_path / "copy")
    take_lock(tmp_path / "copy", shown_as="copy").release()
    assert names(tmp_path / "copy") == []
    with pytest.raises(AlreadyOpen):  # the original is held as before
        take_lock(tmp_path / "day", shown_as="day")
    lock.release()


def test_a_folder_renamed_while_it_is_open_stays_locked(tmp_path):
    (tmp_path / "day").mkdir()
    take_lock(tmp_path / "day", shown_as="day")
    (tmp_path / "day").rename(tmp_path / "moved")
    with pytest.raises(AlreadyOpen):
        take_lock(tmp_path / "moved", shown_as="moved")


def test_the_lock_of_another_computer_is_not_taken_over_unasked(tmp_path):
    owner = '{"pid": 4, "host": "desk \\u001b[2J", "since": "2026-05-14T09:00:00", "started": ""}'
    (tmp_path / LOCK_FILE).write_text(owner)
    with pytest.raises(AlreadyOpen) as caught:
        take_lock(tmp_path, shown_as="day")
    assert "process 4 on desk \\x1b[2J, since 2026-05-14T09:00:00" in str(caught.value)
    take_lock(tmp_path, shown_as="day", take_over=True).release()
    assert names(tmp_path) == []


def test_a_number_given_to_another_process_since_holds_no_lock(tmp_path):
    lock = take_lock(tmp_path, shown_as="day")
    held = (tmp_path / LOCK_FILE).read_text()
    started = held.rpartition('"started": "')[2].rstrip('"}')
    if started:  # where the system tells when a process began
        (tmp_path / LOCK_FILE).write_text(held.replace(f'"{started}"', '"1"'))
        take_lock(tmp_path, shown_as="day").release()
    lock.release()


def test_a_damaged_lock_is_nobodys(tmp_path):
    (tmp_path / LOCK_FILE).write_bytes(b"\xff{")
    take_lock(tmp_path, shown_as="day").release()


def test_a_lock_that_was_taken_over_is_not_given_back_by_its_old_owner(tmp_path):
    old = take_lock(tmp_path, shown_as="day")
    new = take_lock(tmp_path, shown_as="day", take_over=True)
    new_text = (tmp_path / LOCK_FILE).read_bytes()
    if new_text != old._raw:
        old.release()
        assert (tmp_path / LOCK_FILE).exists()
    new.release()
    assert not (tmp_path / LOCK_FILE).exists()
