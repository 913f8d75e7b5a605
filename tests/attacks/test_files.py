"""Files are not lost, and none is read without end."""

import errno
import os
import pathlib
import socket
from types import SimpleNamespace

import pytest

from advisor.cli import main
from advisor.errors import AdvisorError, StoreError
from advisor.knowledge import disk
from tests.conftest import ROOT

CASE = ROOT / "scenarios" / "cases" / "mild-street-tune.yaml"
HEAD = "id,title,fits\n"


@pytest.fixture
def run(tmp_path, capsys, monkeypatch):
    """run(*arguments) -> (exit code, standard error), in a folder of its own that holds own.yaml, a case."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    (tmp_path / "own.yaml").write_bytes(CASE.read_bytes())

    def running(*arguments):
        code = main([str(argument) for argument in arguments])
        return code, capsys.readouterr().err

    return running


def one_line(code, err):
    """Whether it was refused with one clear line."""
    return code == 2 and err.count("\n") == 1 and err.startswith("advisor: ")


def test_a_sheet_never_replaces_its_own_case(run):
    for out in ("own.yaml", "./own.yaml", pathlib.Path("own.yaml").resolve()):
        for more in ((), ("--replace",)):
            assert one_line(*run("sheet", "own.yaml", "--out", out, *more)), out
    os.symlink("own.yaml", "link.yaml")
    assert one_line(*run("sheet", "own.yaml", "--out", "link.yaml", "--replace"))
    os.link("own.yaml", "twin.yaml")
    assert one_line(*run("sheet", "own.yaml", "--out", "twin.yaml", "--replace"))
    assert pathlib.Path("own.yaml").read_bytes() == CASE.read_bytes()


def test_an_output_never_replaces_a_file_of_the_shop(run, tmp_path):
    kits = tmp_path / "kits"
    kits.mkdir()
    for path in (ROOT / "scenarios" / "kits").glob("*.yaml"):
        (kits / path.name).write_bytes(path.read_bytes())
    target = sorted(kits.iterdir())[0]
    before = target.read_bytes()
    assert one_line(*run("sheet", "own.yaml", "--kits", kits, "--out", target, "--replace"))
    assert one_line(*run("why", "own.yaml", "--kits", kits, "--graph", target, "--replace"))
    assert target.read_bytes() == before


def test_what_stands_there_is_replaced_only_when_told(run):
    target = pathlib.Path("out.txt")
    target.write_text("precious")
    assert one_line(*run("sheet", "own.yaml", "--out", target))
    assert one_line(*run("why", "own.yaml", "--graph", target))
    assert target.read_text() == "precious"
    assert run("sheet", "own.yaml", "--out", target, "--replace")[0] == 0
    assert "precious" not in target.read_text() and "Invented" in target.read_text()


def test_looking_at_a_spreadsheet_writes_nothing(run):
    sheet = pathlib.Path("list.csv")
    sheet.write_text(HEAD + "a,b,c\n")
    shop = pathlib.Path("shop")
    shop.mkdir()
    (shop / "shop.toml").write_text('name = "Test Works"')
    assert run("shop", "import", "kits", sheet, "--shop", shop)[0] == 2
    assert sheet.read_text() == HEAD + "a,b,c\n" and os.listdir(shop) == ["shop.toml"]


@pytest.mark.parametrize("call", ["write", "fsync", "link", "replace"])
def test_a_disk_that_fills_leaves_what_was_there_whole(tmp_path, monkeypatch, call):
    target = tmp_path / "kits.yaml"
    target.write_bytes(b"old")
    full = OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    def refuse(*_, **__):
        raise full

    with monkeypatch.context() as patch:
        if call != "write":
            patch.setattr(os, call, refuse)
        if call == "link":
            patch.setattr(os, "rename", refuse)
            target.unlink()
        with (
            pytest.raises(StoreError, match="No space"),
            disk.delivering(target, replace=call != "link") as file,
        ):
            file.write(b"new" * 1000)
            if call == "write":
                raise full
    assert (target.read_bytes() if target.exists() else b"old") == b"old"
    assert [path.name for path in tmp_path.iterdir()] == (["kits.yaml"] if call != "link" else [])


def test_a_draft_is_never_written_through_a_link(tmp_path, monkeypatch):
    """Somebody who guesses the draft's name and puts a link there gains nothing."""
    monkeypatch.setattr(os, "urandom", bytes)
    victim = tmp_path / "victim"
    victim.write_bytes(b"precious")
    os.symlink(victim, tmp_path / f".out.{bytes(6).hex()}.draft")
    with pytest.raises(FileExistsError):
        disk.write(tmp_path / "out", b"evil", replace=True)
    assert victim.read_bytes() == b"precious"


def test_private_files_are_for_their_owner(tmp_path):
    disk.write(tmp_path / "new", b"x", private=True)
    assert (tmp_path / "new").stat().st_mode & 0o077 == 0
    (tmp_path / "open").write_bytes(b"old")
    (tmp_path / "open").chmod(0o640)
    disk.write(tmp_path / "open", b"x", replace=True)
    assert (tmp_path / "open").stat().st_mode & 0o777 == 0o640


@pytest.fixture
def endless(tmp_path):
    """Name -> a place that is no plain file, or is far too large."""
    os.mkfifo(tmp_path / "pipe")
    with socket.socket(socket.AF_UNIX) as listening:
        listening.bind(str(tmp_path / "socket"))
    with open(tmp_path / "huge.yaml", "wb") as file:
        file.truncate(3_000_000_000)  # takes no room on the disk
    return {
        "zero": pathlib.Path("/dev/zero"),
        "pipe": tmp_path / "pipe",
        "socket": tmp_path / "socket",
        "huge": tmp_path / "huge.yaml",
    }


@pytest.mark.parametrize("kind", ["zero", "pipe", "socket", "huge"])
@pytest.mark.parametrize(
    "command",
    [
        ("recommend", CASE, "--kits"),
        ("recommend", CASE, "--platforms"),
        ("recommend", CASE, "--parts"),
        ("recommend", CASE, "--rules"),
        ("case", "save", CASE, "--kits"),
        ("recommend",),
        ("why",),
        ("sheet",),
        ("shop", "import", "kits", "--shop", ROOT / "scenarios"),
        ("case", "check", "--casebook"),
        ("case", "import"),
        ("interview", "--plain", "--case"),
    ],
)
def test_nothing_is_read_without_end(run, endless, kind, command):
    code, err = run(*command, endless[kind])
    assert code in (2, 5) and "Traceback" not in err, err
    # Rules report every file that is missing; all else is one line.
    assert "--rules" in command or err.count("\n") == 1, err


def test_standard_input_has_its_limit(run, monkeypatch):
    with open("/dev/zero", "rb") as endless:
        monkeypatch.setattr("sys.stdin", SimpleNamespace(buffer=endless))
        assert one_line(*run("recommend", "-"))


def test_a_folder_of_everything_is_refused(tmp_path, monkeypatch):
    monkeypatch.setattr(disk, "ENTRIES", 50)
    for number in range(60):
        (tmp_path / f"{number}.txt").touch()
    with pytest.raises(AdvisorError, match="more than 50"):
        disk.below(tmp_path, (".yaml",))
