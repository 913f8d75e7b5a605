"""The command, in a process of its own where that matters: line mode, exit codes, resuming, two at once, and killed at
any moment.
"""

import gc
import io
import json
import re
import subprocess

import pytest

from advisor.cli import main
from advisor.interview import case_file
from advisor.knowledge import load
from tests import kept

from . import program, shop

WHOLE = "\n".join(["bramble", *program.SCRIPT[1:11], "done", ""])


@pytest.fixture
def here(tmp_path, monkeypatch, capsys):
    """here(text, command, *options) -> (exit code, output, errors) of a command fed with a text, in this process."""
    kept.share(monkeypatch)
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    monkeypatch.setattr(gc, "freeze", lambda: None)  # this process goes on afterwards

    def running(text, *arguments):
        monkeypatch.setattr("sys.stdin", io.StringIO(text))
        capsys.readouterr()
        code = main([str(argument) for argument in arguments])
        return code, *capsys.readouterr()

    return running


def test_it_ends_in_the_same_record_as_recommend(tmp_path, here):
    code, out, _ = program.run(tmp_path, WHOLE, "--case", tmp_path / "caller.yaml", "--json")
    assert code == 0
    made = json.loads(out)
    code, out, _ = here("", "recommend", tmp_path / "caller.yaml", "--json")
    assert code == 0 and json.loads(out) == made
    assert made["pick"]["kit"]


def test_the_end_of_the_script_saves_and_says_how_to_go_on(tmp_path, here):
    code, out, _ = here("bramble\nmain_use = daily\n", "interview")
    assert code == 3 and "--resume caller-1" in out
    side = tmp_path / "least-clutch/interviews/caller-1.yaml.interview"
    side.write_text(side.read_text().replace(shop.knowledge().sha256, "of-other-rules"))
    code, out, err = here("", "interview", "--resume")
    assert "The rules have changed" in err
    assert (
        code == 3
        and "Engine standard?" in out
        and "main_use" in (tmp_path / "least-clutch/interviews/caller-1.yaml").read_text()
    )
    code, out, _ = here("", "interview", "--list")
    assert code == 0 and "caller-1" in out


def test_leaving_early_saves(tmp_path):
    code, out, _ = program.run(tmp_path, "bramble\nleave\n", "--case", tmp_path / "a.yaml")
    assert code == 3 and "--case" in out and load.case(tmp_path / "a.yaml", shop.knowledge()).platform == "bramble-20t"


@pytest.mark.parametrize(
    "text, code",
    [
        ("bramble\ndone\n", 3),
        (
            "bramble\nmain_use = daily; engine_torque = 900 Nm; noise = quiet; take_up = smooth; pedal = light\ndone\n",
            4,
        ),
    ],
)
def test_exit_codes_of_what_was_decided(here, text, code):
    assert here(text, "interview")[0] == code


@pytest.mark.parametrize(
    "options, words",
    [
        (["--resume"], ["no saved interview"]),
        (["--resume", "nobody"], ["nobody", "--list"]),
        (["--case", "missing.yaml", "--resume"], ["missing.yaml"]),
        (["--case", "there.yaml"], ["there already", "--resume"]),
        (["--case", "/proc/x.yaml"], ["cannot open the case"]),
        (["--car", "nowhere"], ["no car on file"]),
    ],
)
def test_what_cannot_begin_is_one_clear_error(tmp_path, here, options, words):
    (tmp_path / "there.yaml").write_text("case: there\nanswers: {}\n")
    code, _, err = here("", "interview", *options)
    assert code == 2 and len(err.splitlines()) == 1 and "Traceback" not in err
    for word in words:
        assert word in err


def test_two_interviews_on_one_case_do_not_overwrite_each_other(tmp_path):
    first = subprocess.Popen(
        program.command("--case", tmp_path / "a.yaml"),
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        env=program.environment(tmp_path),
        cwd=tmp_path,
    )
    try:
        program.until_prompt(first, b"")
        code, _, err = program.run(tmp_path, "sedge\n", "--case", tmp_path / "a.yaml", "--resume")
        assert code == 2 and "another interview has this case open" in err and str(first.pid) in err
        first.communicate(b"bramble\n", timeout=60)
    finally:
        first.kill()
        first.wait()
    assert load.case(tmp_path / "a.yaml", shop.knowledge()).platform == "bramble-20t"


def test_a_file_size_limit_met_in_the_middle_is_one_error_and_loses_nothing(tmp_path):
    # A real refusal of the system, as a full disk gives one: no file may grow beyond 4 kB.
    import resource

    def limited():
        resource.setrlimit(resource.RLIMIT_FSIZE, (4096, 4096))

    shop.knowledge()  # kept by now, as it could not be here
    lines = "bramble\n" + "".join(f"budget = {number}\n" for number in range(100, 160))
    done = subprocess.run(
        program.command("--case", tmp_path / "a.yaml"),
        input=lines,
        capture_output=True,
        text=True,
        env=program.environment(tmp_path),
        preexec_fn=limited,
        cwd=tmp_path,
        timeout=120,
    )
    assert done.returncode == 2 and "cannot save the answer" in done.stderr and len(done.stderr.splitlines()) == 1
    taken = re.findall(r"^budget: (\d+)", done.stdout, re.MULTILINE)
    assert taken and case_file.read(tmp_path / "a.yaml", shop.knowledge()).said["budget"].value == float(taken[-1])
    assert not list(tmp_path.glob(".*draft"))


def test_bytes_that_are_no_text_are_refused_and_asked_again(tmp_path):
    code, out, err = program.run(tmp_path, b"bramble\n\xff\xfe\x00\nmain_use = daily\n")
    assert code == 3 and b"cannot be shown" in out and b"Traceback" not in out + err


def test_ctrl_c_saves_and_leaves(tmp_path):
    import signal

    child = subprocess.Popen(
        program.command("--case", tmp_path / "a.yaml"),
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        env=program.environment(tmp_path),
        cwd=tmp_path,
    )
    program.until_prompt(child, b"")
    child.stdin.write(b"bramble\n")
    child.stdin.flush()
    program.until_prompt(child, b"")
    child.send_signal(signal.SIGINT)
    out, err = child.communicate(timeout=60)
    assert child.returncode == 3 and b"--resume" in out and not err
    assert load.case(tmp_path / "a.yaml", shop.knowledge()).platform == "bramble-20t"


@pytest.mark.parametrize("number", [1])
def test_killed_at_any_moment_no_acknowledged_answer_is_missing(tmp_path, number):
    missing, path = program.lost(tmp_path, number)
    assert missing == []
    state = case_file.read(path, shop.knowledge())
    question = shop.chooser().view(state).question
    code, out, _ = program.run(tmp_path, "", "--case", path, "--resume")
    assert code == (3 if question else 0)
    assert f"{question.replace('_', ' ')}> " in out if question else "done" in out
