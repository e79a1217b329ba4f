#!/usr/bin/python3
# SPDX-FileCopyrightText: The ohmglow authors
# SPDX-License-Identifier: Apache-2.0
"""The command as an outside bench drives it, against the simulated bench, in real time.

command_test.py BUILD DESCRIPTION

What it says at the end must be what `locate` says of the folder, word by word.
"""
import os
import pathlib
import re
import subprocess
import sys
import tempfile


def bench(build, description, folder):
    """-> the bench, its supply's address, format and rate of its frames."""
    process = subprocess.Popen(
        [build / "tools/simulate/simulate", "--bench", description, "--seed", "5", "--out", folder],
        stdout=subprocess.PIPE, stderr=subprocess.PIPE)
    line = process.stderr.readline().decode()
    told = re.match(r"supply on (\S+), frames (\S+) at (\S+) Hz", line).groups()
    return process, *told


def expect(what, holds, text):
    if holds:
        return
    print(text)
    sys.exit("command_test: " + what)


def main():
    build, description = pathlib.Path(sys.argv[1]), sys.argv[2]
    program = build / "src/cli/ohmglow"
    german = dict(os.environ, LC_ALL="de_DE.UTF-8")
    with tempfile.TemporaryDirectory(prefix="ohmglow-command-") as name:
        folder = pathlib.Path(name)
        board = folder / "board/board.ini"
        camera, address, form, rate = bench(build, description, folder)
        command = [program, "record", board, "--out", folder / "case", "--frames", "-", "--format",
                   form, "--rate-hz", rate, "--supply", address, "--max-volts", "5", "--max-amps",
                   "1", "--max-seconds", "13", "--until", "0.97", "--yes"]
        recorded = subprocess.run(command, stdin=camera.stdout, capture_output=True, text=True,
                                  env=german)
        camera.kill()
        said = recorded.stdout
        expect("it must end in order", recorded.returncode == 0, said + recorded.stderr)
        expect("the output must be off", "Der Ausgang ist aus, bestätigt" in said, said)
        expect("German must be German", "[en]" not in said and "Bevor es weitergeht" in said, said)
        located = subprocess.run([program, "locate", folder / "case/case.ini", "--out",
                                  folder / "result"], capture_output=True, text=True, env=german)
        places = [row for row in located.stdout.splitlines() if re.match(r"\d+\. ", row)]
        expect("locate must find places", located.returncode == 0 and places, located.stdout)
        expect("the end must be what locate says", all(row in said for row in places),
               said + "\n--- locate:\n" + located.stdout)
        again = subprocess.run(command, stdin=subprocess.DEVNULL, capture_output=True, text=True)
        expect("a folder that is there must be refused before the supply is touched",
               again.returncode == 5 and "is there already" in again.stderr, again.stderr)


if __name__ == "__main__":
    main()
