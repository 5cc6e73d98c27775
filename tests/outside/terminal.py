"""Runs the program in pseudo terminals of several widths and looks at what stands on the screen."""

import fcntl
import os
import pty
import re
import struct
import subprocess
import sys
import tempfile
import termios

PROGRAM = os.path.abspath(sys.argv[1])
CAMPAIGN = "runs/larkspur/campaign.toml"
COLOUR = re.compile(r"\x1b\[[0-9;]*m")


def screen(columns, *arguments, **environment):
    """What the program writes to standard output on a terminal of so many columns; exit code."""
    ours, theirs = pty.openpty()
    fcntl.ioctl(theirs, termios.TIOCSWINSZ, struct.pack("HHHH", 40, columns, 0, 0))
    plain = {k: v for k, v in os.environ.items() if k not in ("NO_COLOR", "COLUMNS")}
    child = subprocess.Popen(
        [PROGRAM, *arguments],
        stdout=theirs,
        stderr=subprocess.DEVNULL,
        env=plain | {"TERM": "xterm-256color"} | environment,
    )
    os.close(theirs)
    said = b""
    while True:
        try:
            part = os.read(ours, 65536)
        except OSError:  # the other end is closed
            break
        if not part:
            break
        said += part
    os.close(ours)
    return said.decode().replace("\r\n", "\n"), child.wait()


def looked_at(columns, folder):
    run = ("run", CAMPAIGN, "--campaigns", "64", "--out", folder)
    text, code = screen(columns, *run)
    assert code == 0, text
    assert COLOUR.search(text), "colour on a terminal"
    plain = COLOUR.sub("", text)
    lines = plain.splitlines()
    assert len(lines) <= 40, f"{len(lines)} lines\n{plain}"
    wide = [line for line in lines if len(line) > columns and folder not in line]
    assert not wide, wide
    turned = any(line.startswith("suitports-on-both ") for line in lines)
    assert turned == (columns < 100), plain
    assert "* is best" in plain and "common random numbers" in plain, plain
    return plain


def main():
    with tempfile.TemporaryDirectory() as home:
        folder = os.path.join(home, "results")
        seen = [looked_at(columns, folder) for columns in (80, 120)]
        run = ("run", CAMPAIGN, "--campaigns", "64", "--out", folder)
        for more, environment in ((("--color", "never"), {}), ((), {"NO_COLOR": "1"})):
            text, _ = screen(120, *run, *more, **environment)
            assert text == seen[1], "the same text without colour"
    for columns in (80, 120):
        text, code = screen(columns, "check", CAMPAIGN)
        assert code == 0 and "can be played" in text.splitlines()[0], text
        wide = [x for x in COLOUR.sub("", text).splitlines() if len(x) > columns]
        assert not wide, wide
        replay = ("replay", CAMPAIGN, "--architecture", "suitport-pair", "--campaign", "0")
        text, code = screen(columns, *replay)
        wide = [x for x in COLOUR.sub("", text).splitlines() if len(x) > columns]
        assert code == 0 and not wide, wide
    print("terminals of 80 and 120 columns: nothing wider, 40 lines, colour as asked")


main()
