"""What the program does on a terminal: colours, dumb terminals, questions."""

import os
import pty
import select
import signal
import time

from desk import Desk

ESCAPE = b"\x1b"


def on_terminal(desk, *args, answers=b"", **env):
    """Exit code, and all that came to a terminal of 100 columns."""
    pid, terminal = pty.fork()
    if pid == 0:
        os.chdir(desk.path)
        os.execve(desk.program, [desk.program, *map(str, args)], {**desk.env, "TERM": "xterm-256color", **env})
    printed, end = b"", time.monotonic() + 60
    try:
        while time.monotonic() < end:
            if select.select([terminal], [], [], 0.2)[0]:
                try:
                    chunk = os.read(terminal, 65536)
                except OSError:  # the other end is closed
                    break
                if not chunk:
                    break
                printed += chunk
                if answers and (b"[y/N]" in printed or printed.rstrip().endswith(b"]")):
                    os.write(terminal, answers)
                    answers = b""
        else:
            os.kill(pid, signal.SIGKILL)
            raise AssertionError(f"{args} waits: {printed[-500:]}")
    finally:
        os.close(terminal)
    return os.waitstatus_to_exitcode(os.waitpid(pid, 0)[1]), printed


def ledger():
    desk = Desk()
    desk.run("new", "group")
    desk.run("load", "estate", "group")
    (desk.path / "rows.csv").write_text(
        "at,site,machine,line,state,amount,unit,seconds\n2026-02-02,rowan-end,counter-1,2,as-found,40.9,g,7.0\n",
        encoding="utf-8",
    )
    desk.run("load", "catches", "rows.csv")
    return desk


def test_a_terminal_gets_colour_unless_it_says_otherwise():
    desk = ledger()
    code, printed = on_terminal(desk, "week")
    assert code == 0 and ESCAPE in printed
    for env in ({"NO_COLOR": "1"}, {"TERM": "dumb"}):
        for args in (["week"], ["--help"], ["week", "--site", "nowhere"], ["load", "catches", "rows.csv"]):
            _, printed = on_terminal(desk, *args, **env)
            assert ESCAPE not in printed, (env, args, printed[:300])


def test_a_question_is_asked_and_the_answer_kept():
    desk = ledger()
    code, printed = on_terminal(desk, "load", "undo", 1, answers=b"n\n")
    assert code == 1 and b"Withdraw the 1 record" in printed, printed
    assert desk.report("week")["lines"][0]["verdict"] == "off-target"
    code, printed = on_terminal(desk, "load", "undo", 1, answers=b"y\n")
    assert code == 0 and b"1 record withdrawn" in printed, printed
    assert all(line["verdict"] is None for line in desk.report("week")["lines"])
