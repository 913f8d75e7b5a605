"""Nothing lost: whole files, one writer, and one clear error where the disk refuses."""

import contextlib
import errno
import io
import json
import os

import pytest

from advisor.cli import main
from advisor.errors import StoreError
from advisor.interview import interview_file as stores
from advisor.interview.interview_file import InterviewFile
from advisor.interview.state import Said, State
from advisor.knowledge import disk
from advisor.knowledge.case_model import ChangedAnswer

from . import shop

ONE = State("x", car="bramble-20t", said={"main_use": Said("main_use", "daily", "daily")})
TWO = State(
    "x",
    car="bramble-20t",
    said={**ONE.said, "budget": Said("budget", "900", 900.0)},
    former={"towed_mass": Said("towed_mass", "500 kg", 500.0)},
    later=("fuel",),
)


def test_what_was_saved_is_read_back_with_undo_and_suggestions(tmp_path):
    path = tmp_path / "case.yaml"
    with InterviewFile(path) as held:
        held.save(ONE)
        held.undo = [ONE]
        held.save(TWO, rules_sha256="r")
    with InterviewFile(path) as held:
        state, side = held.load(shop.knowledge())
        assert state == TWO and held.undo == [ONE] and side["rules_sha256"] == "r"


def test_marks_and_insisting_are_read_back_with_undo(tmp_path):
    path = tmp_path / "case.yaml"
    marked = State(
        "x",
        car="bramble-20t",
        said=ONE.said,
        changed=(ChangedAnswer("launch_speed_rpm", 4000.0, 5500.5), ChangedAnswer("sanctioned_racing", True, None)),
        insist=("torque-below-power",),
    )
    with InterviewFile(path) as held:
        held.save(ONE)
        held.undo = [ONE, marked]
        held.save(marked)
        held.save(TWO)
    with InterviewFile(path) as held:
        state, _ = held.load(shop.knowledge())
        assert state == TWO and held.undo == [ONE, marked]
    with InterviewFile(tmp_path / "other.yaml") as held:
        held.save(marked)
        state, _ = held.load(shop.knowledge())
        assert state == marked


@pytest.mark.parametrize("killed_after", ["side", "case"])
def test_killed_between_the_two_files_the_answers_are_those_of_the_case_file(tmp_path, monkeypatch, killed_after):
    path = tmp_path / "case.yaml"
    with InterviewFile(path) as held:
        held.save(ONE)
        replace = held._replace
        written = []

        def stopping(target, content):
            replace(target, content)
            written.append(target)
            if killed_after == "side" or len(written) == 2:
                raise KeyboardInterrupt

        held._replace = stopping
        held.undo = [ONE]
        with pytest.raises(KeyboardInterrupt):
            held.save(TWO)
    with InterviewFile(path) as held:
        state, _ = held.load(shop.knowledge())
        assert state == (ONE if killed_after == "side" else TWO)


@pytest.mark.parametrize("content", [b"", b"{", b"[]", b'{"steps": []}', b"\xff\xfe"])
def test_a_spoiled_side_file_loses_no_answer(tmp_path, content):
    path = tmp_path / "case.yaml"
    with InterviewFile(path) as held:
        held.save(TWO)
    held.side.write_bytes(content)
    with InterviewFile(path) as held:
        state, _ = held.load(shop.knowledge())
    assert state.said == TWO.said and not state.former


def test_a_second_interview_on_the_same_case_is_refused(tmp_path):
    with InterviewFile(tmp_path / "case.yaml"), pytest.raises(StoreError) as caught:
        InterviewFile(tmp_path / "case.yaml").__enter__()
    assert str(os.getpid()) in str(caught.value) and caught.value.remedy
    with InterviewFile(tmp_path / "case.yaml"):
        pass
    assert not (tmp_path / "case.yaml.lock").exists()


def test_a_file_changed_by_somebody_else_is_not_overwritten(tmp_path):
    path = tmp_path / "case.yaml"
    with InterviewFile(path) as held:
        held.save(ONE)
        path.write_text(path.read_text().replace("daily", "drift"))
        with pytest.raises(StoreError) as caught:
            held.save(TWO)
    assert "changed by somebody else" in str(caught.value) and "drift" in path.read_text()


@pytest.mark.parametrize("call", ["write", "fsync", "replace"])
def test_a_full_disk_leaves_the_old_file_whole_and_no_draft(tmp_path, monkeypatch, call):
    path = tmp_path / "case.yaml"
    with InterviewFile(path) as held:
        held.save(ONE)
        before = path.read_bytes()

        def full(*_):
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

        if call == "write":
            opened = {"wb": _Full, "rb": lambda descriptor: open(descriptor, "rb")}  # noqa: SIM115  the caller closes it
            monkeypatch.setattr(disk, "open", lambda descriptor, mode: opened[mode](descriptor), raising=False)
        else:
            monkeypatch.setattr(os, call, full)
        with pytest.raises(StoreError) as caught:
            held.save(TWO)
        monkeypatch.undo()
        assert "No space left" in str(caught.value) and str(path) in str(caught.value)
        assert path.read_bytes() == before and not list(tmp_path.glob(".*draft"))
        held.save(TWO)
    assert b"900" in path.read_bytes()


class _Full:
    """A file on a full disk."""

    def __init__(self, descriptor):
        self.descriptor = descriptor

    def __enter__(self):
        return self

    def __exit__(self, *_):
        os.close(self.descriptor)

    def write(self, _):
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))


@pytest.mark.parametrize("place", ["/proc/case.yaml", "a-file/case.yaml", "no-such-folder/case.yaml"])
def test_a_place_that_cannot_be_written_to_is_one_clear_error(tmp_path, place):
    (tmp_path / "a-file").write_text("")
    with pytest.raises(StoreError) as caught:
        InterviewFile(tmp_path / place).__enter__()
    assert "cannot open the case" in str(caught.value) and caught.value.remedy


def test_drafts_of_an_interview_that_was_killed_are_cleared(tmp_path):
    (tmp_path / ".case.yaml.123.draft").write_text("half")
    with InterviewFile(tmp_path / "case.yaml"):
        assert not list(tmp_path.glob(".*draft"))


def test_new_interviews_get_names_of_their_own(tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    first = stores.new_path()
    with InterviewFile(first) as held:
        held.save(ONE)
    second = stores.new_path()
    assert (first.stem, second.stem) == ("caller-1", "caller-2")
    assert stores.saved() == [first]


def test_an_interview_begun_while_another_reads_its_rules_gets_a_name_of_its_own(tmp_path, monkeypatch, capsys):
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    with contextlib.ExitStack() as other:

        def slow(arguments):
            other.enter_context(InterviewFile(stores.new_path()))
            return shop.decider()

        monkeypatch.setattr("advisor.commands.opening.open_decider", slow)
        monkeypatch.setattr("sys.stdin", io.StringIO("leave\n"))
        assert main(["interview", "--plain"]) == 3
    told = capsys.readouterr()
    assert "caller-2.yaml" in told.out and "has this case open" not in told.err


def test_undo_kept_on_disk_is_bounded(tmp_path):
    with InterviewFile(tmp_path / "case.yaml") as held:
        held.undo = [ONE] * 500
        held.save(TWO)
        assert len(json.loads(held.side.read_text())["steps"]) == stores.UNDO_KEPT + 1
