"""The interview at a terminal: prompt_toolkit through its pipe input, and a handful on a real pseudo-terminal."""

import os
import pathlib
import re
import subprocess
import sys
import tempfile
import time

import pexpect
import pyte
import pytest
from prompt_toolkit.application import create_app_session
from prompt_toolkit.document import Document
from prompt_toolkit.input import create_pipe_input
from prompt_toolkit.output import DummyOutput
from prompt_toolkit.validation import ValidationError

from advisor.interview import terminal
from advisor.interview.interview_file import InterviewFile
from advisor.interview.orders import DONE, LEFT
from advisor.knowledge import load

from . import program, shop
from .test_conversation import begin


@pytest.fixture
def typed(tmp_path):
    """A function that types text into an interview: (how it ended, what was shown, the Talk)."""

    def type_in(text, **options):
        (tmp_path / "case.yaml").unlink(missing_ok=True)
        with (
            InterviewFile(tmp_path / "case.yaml") as held,
            create_pipe_input() as pipe,
            create_app_session(input=pipe, output=DummyOutput()),
        ):
            talk, shown = begin(held, **options), []
            pipe.send_text(text)
            return (
                terminal.run(talk, shown.append, lambda: 80, input=pipe, output=DummyOutput()),
                "\n".join(shown),
                talk,
            )

    return type_in


def test_answers_and_done(typed):
    ended, shown, talk = typed("bramble\rdaily\r430 Nm\rdone\r")
    assert ended == DONE and "Main use?" in shown and "Engine standard?" in shown
    assert {"main_use", "engine_torque"} <= set(talk.state.said)


@pytest.mark.parametrize("key", ["\x04", "\x03", "leave\r", "430\x04"])
def test_leaving_by_key_or_word_keeps_what_was_sent(typed, key):
    ended, _, talk = typed("bramble\rdaily\r" + key)
    assert ended == LEFT and set(talk.state.said) == {"main_use"}
    assert load.case(talk.store.path, shop.knowledge()).answers["main_use"].value == "daily"


def test_a_refused_line_stays_and_can_be_mended(typed):
    # 430 without a unit is refused; the line stays and " Nm" is added to it.
    _, _, talk = typed("bramble\rdaily\rmodified\r430\r Nm\rleave\r")
    assert talk.state.said["engine_torque"].value == 430.0


def test_tab_completes_a_choice(typed):
    _, _, talk = typed("bramble\rweek\t\rleave\r")
    assert talk.state.said["main_use"].value == "weekend_road"


#: What terminals send for F1 to F7 (xterm).
F_KEYS = ["\x1bOP", "\x1bOQ", "\x1bOR", "\x1bOS", "\x1b[15~", "\x1b[17~", "\x1b[18~"]


def test_every_key_does_what_its_word_does(typed):
    """One after the other, the last of which ends it."""
    words = [f"{word}\r" for word in terminal.KEYS.values()]
    assert len(words) == len(F_KEYS) and words[-1] == "done\r"
    begun = "bramble\rdaily\r430 Nm\r"
    ended, shown, talk = typed(begun + "".join(F_KEYS))
    by_word, shown_by_word, other = typed(begun + "".join(words))
    assert ended == by_word == DONE
    assert shown.split("\n") == shown_by_word.split("\n")
    assert talk.state == other.state


def test_a_paste_of_several_lines_is_taken_as_one(typed):
    pasted = "\x1b[200~daily\nengine_torque = 430 Nm at the wheels\nnoise_tolerance = quiet\x1b[201~\r"
    _, _, talk = typed("bramble\r" + pasted + "leave\r")
    assert set(talk.state.said) == {"main_use", "engine_torque", "torque_measured_at", "noise_tolerance"}
    assert len(talk.store.undo) == 2


def test_a_paste_whose_later_lines_say_nothing_about_what_they_answer_is_refused_whole(tmp_path):
    with InterviewFile(tmp_path / "case.yaml") as held:
        talk = begin(held)
        talk.take("bramble", 80)
        with pytest.raises(ValidationError) as caught:
            terminal.Check(talk).validate(Document("daily\n430 Nm\nquiet"))
        assert "Nothing of it was taken" in caught.value.message and not talk.state.said


def test_completion_offers_choices_names_orders_and_what_was_said_before(tmp_path):
    with InterviewFile(tmp_path / "case.yaml") as held:
        talk = begin(held)
        assert "bramble-20t" in dict(terminal.completions(talk, "bram"))
        talk.take("bramble", 80)
        assert "drag_only" in dict(terminal.completions(talk, "dr"))
        assert "engine_torque = " in dict(terminal.completions(talk, "torq"))
        assert "why-not" in dict(terminal.completions(talk, "why"))
        assert "quiet" in dict(terminal.completions(talk, "noise = q"))
        assert list(terminal.completions(talk, "xyzzy = ")) == []
        talk.take("engine_torque = 430 Nm at the wheels", 80)
        assert "430 Nm" in dict(terminal.completions(talk, "engine_torque = 4"))


# --- a real terminal


class Screen:
    """The program on a pseudo-terminal of a size, and what such a terminal would show."""

    def __init__(self, folder, columns=80, rows=40, *options, **more):
        self.screen = pyte.Screen(columns, rows)
        # A terminal answers where its cursor stands; without that no status line is drawn.
        self.screen.write_process_input = lambda text: self.child.send(text)
        self.stream = pyte.ByteStream(self.screen)
        line = program.command("--case", folder / "case.yaml", *options)
        env = program.environment(folder, **more)
        self.child = pexpect.spawn(line[0], line[1:], dimensions=(rows, columns), env=env, cwd=str(folder), timeout=60)
        self.raw = b""

    def wait_for(self, text, seconds=60):
        """Feed the screen until ``text`` stands on it."""
        end = time.monotonic() + seconds
        while text not in self.shown():
            assert time.monotonic() < end, self.shown()
            self.read()
        # The rest of the same drawing.
        self.read(0.2)

    def read(self, seconds=0.1):
        try:
            got = self.child.read_nonblocking(65536, timeout=seconds)
        except (pexpect.TIMEOUT, pexpect.EOF):
            return
        self.raw += got
        self.stream.feed(got)

    def shown(self):
        """The lines on the screen."""
        return "\n".join(line.rstrip() for line in self.screen.display)

    def send(self, text):
        self.child.send(text)

    def end(self):
        """Exit code."""
        while self.child.isalive():
            self.read()
        self.read()
        self.child.close()
        return self.child.exitstatus


def complaint_about(line, *lines_before):
    """What is said about a line that cannot be taken."""
    with tempfile.TemporaryDirectory() as folder, InterviewFile(pathlib.Path(folder) / "case.yaml") as held:
        talk = begin(held)
        for before in lines_before:
            talk.take(before, 80)
        with pytest.raises(ValidationError) as caught:
            terminal.Check(talk).validate(Document(line))
    return caught.value.message


@pytest.mark.parametrize("columns", [80, 40])
def test_a_conversation_on_a_real_terminal(tmp_path, columns):
    screen = Screen(tmp_path, columns)
    screen.wait_for("car>")
    screen.send("bramble\r")
    screen.wait_for("main use>")
    screen.send("daily\r")
    screen.wait_for("engine state>")
    screen.send("modified\r")
    screen.wait_for("engine torque>")
    screen.send("430\r")
    screen.wait_for("no unit")
    # The whole complaint, over as many rows as it takes: cut off at one it would not say how to mend it.
    complaint = complaint_about("430", "bramble", "daily", "modified")
    assert len(complaint) > 40 and "".join(complaint.split()) in "".join(screen.shown().split())
    screen.send(" Nm\r")
    screen.wait_for(" %, " if columns == 40 else "probability of holding")
    status, keys = screen.shown().rstrip().splitlines()[-2:]
    assert all(word in keys for word in ("back", "change", "later", "done", "help"))
    pick = re.match(r"[a-z0-9-]+", status)[0]
    assert any(kit.id.startswith(pick) for kit in shop.stock().kits) and re.search(r"\d+ %", status)
    screen.send("done\r")
    screen.wait_for("question>")
    screen.send("how heavy is it?\r")
    screen.wait_for("pedal takes")
    screen.send("\r")
    assert screen.end() == 0
    assert load.case(tmp_path / "case.yaml", shop.knowledge()).answers["engine_torque"].value == 430.0


def test_resizing_keeps_the_line_and_the_prompt(tmp_path):
    screen = Screen(tmp_path, 80)
    screen.wait_for("car>")
    screen.send("bram")
    screen.wait_for("car> bram")
    screen.child.setwinsize(40, 40)
    screen.screen.resize(40, 40)
    screen.read(0.5)
    screen.send("ble\r")
    screen.wait_for("main use>")
    screen.send("\x04")
    assert screen.end() == 3


@pytest.mark.parametrize("key", ["\x03", "\x04"])
def test_keys_that_leave_save_and_say_how_to_go_on(tmp_path, key):
    screen = Screen(tmp_path)
    screen.wait_for("car>")
    screen.send("bramble\r")
    screen.wait_for("main use>")
    screen.send(key)
    assert screen.end() == 3
    assert "--resume" in screen.shown() and "Traceback" not in screen.raw.decode("utf-8", "replace")
    assert load.case(tmp_path / "case.yaml", shop.knowledge()).platform == "bramble-20t"


def test_a_pasted_block_on_a_real_terminal(tmp_path):
    screen = Screen(tmp_path)
    screen.wait_for("car>")
    screen.send("\x1b[200~bramble\nmain_use = daily\nengine_torque = 430 Nm\x1b[201~\r")
    screen.wait_for("probability of holding")
    screen.send("\x04")
    assert screen.end() == 3
    assert set(load.case(tmp_path / "case.yaml", shop.knowledge()).answers) == {"main_use", "engine_torque"}


def test_without_colour_no_colour_is_sent(tmp_path):
    screen = Screen(tmp_path, NO_COLOR="1")
    screen.wait_for("car>")
    screen.send("bramble\r")
    screen.wait_for("main use>")
    screen.send("\x04")
    assert screen.end() == 3
    codes = {int(code) for found in re.findall(rb"\x1b\[([0-9;]*)m", screen.raw) for code in found.split(b";") if code}
    assert not {code for code in codes if 30 <= code <= 48 or 90 <= code <= 107}, codes


def test_a_dumb_terminal_is_asked_line_by_line(tmp_path):
    screen = Screen(tmp_path, TERM="dumb")
    screen.wait_for("car>")
    screen.send("bramble\n")
    screen.wait_for("main use>")
    screen.send("leave\n")
    assert screen.end() == 3
    assert b"\x1b" not in screen.raw


def test_prompt_toolkit_is_loaded_only_for_a_terminal(tmp_path):
    code = (
        "import sys, advisor.cli; advisor.cli.main(['interview', '--plain', '--case', 'a.yaml']); "
        "sys.exit('prompt_toolkit' in sys.modules)"
    )
    done = subprocess.run(
        [sys.executable, "-c", code],
        input="bramble\n",
        capture_output=True,
        text=True,
        env=program.environment(tmp_path),
        cwd=tmp_path,
    )
    assert done.returncode == 0, done.stderr
    assert os.path.exists(tmp_path / "a.yaml")
