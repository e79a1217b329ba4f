# SPDX-FileCopyrightText: The ohmglow authors
# SPDX-License-Identifier: Apache-2.0
"""Kills a batch at random moments; a second run must bring the undisturbed outcome, byte for byte.

  kill_test.py PROGRAM SIMULATE DESCRIPTION.ini [KILLS] [SEED]
"""
import os
import pathlib
import random
import shutil
import signal
import subprocess
import sys
import tempfile
import time

SOME_FAILED = 6


def make_shelf(simulate, description, work):
    for seed in (1, 2, 3):
        made = work / f"made{seed}"
        subprocess.run([simulate, description, "--seed", str(seed), "--out", made],
                       check=True, stdout=subprocess.DEVNULL)
        folder = work / "shelf" / f"day{seed % 2}" / f"f{seed}"
        shutil.copytree(made / "case", folder)
        ini = folder / "case.ini"
        lines = ini.read_text().splitlines(keepends=True)
        ini.write_text("".join(line for line in lines if not line.startswith("photo")))
    bad = work / "shelf" / "bad"
    bad.mkdir()
    (bad / "case.ini").write_text("[frames]\nsource = missing.tiff\n")
    return work / "shelf"


def tree(folder):
    """Every file's bytes, and every folder, by name."""
    return {str(path.relative_to(folder)): path.read_bytes() if path.is_file() else None
            for path in folder.rglob("*")}


def children(process):
    found = []
    for stat in pathlib.Path("/proc").glob("[0-9]*/stat"):
        try:
            fields = stat.read_text().rpartition(")")[2].split()
        except OSError:
            continue
        if int(fields[1]) == process:
            found.append(int(stat.parent.name))
    return found


class Batch:
    def __init__(self, program, shelf):
        self.command = [program, "batch", shelf, "--jobs", "2", "--out"]

    def start(self, out, *more):
        # A session of its own: all of its processes can be killed at once.
        return subprocess.Popen([*self.command, out, *more], stdout=subprocess.PIPE,
                                stderr=subprocess.STDOUT, text=True, start_new_session=True)

    def run(self, out):
        process = self.start(out)
        text, _ = process.communicate()
        assert process.returncode == SOME_FAILED, f"exit code {process.returncode}: {text}"
        return text


def difference(expected, actual):
    names = sorted(set(expected) ^ set(actual))
    return names or sorted(name for name in expected if expected[name] != actual[name])


def kill_one_case(batch, out, expected):
    """The end of one case's process is the end of that case alone, until the next run.
    False where the process that was hit had already done its work."""
    process = batch.start(out)
    victims = []
    while not victims and process.poll() is None:
        # The bad case's process is gone at once; wait for one that lasts.
        time.sleep(0.1)
        victims = children(process.pid)
    if victims:
        os.kill(victims[0], signal.SIGKILL)
    text, _ = process.communicate()
    assert process.returncode == SOME_FAILED, f"exit code {process.returncode}: {text}"
    hit = "was killed (signal 9)" in text
    if hit:
        assert "2 done, 2 failed" in text or "3 done, 1 failed" in text, text
    batch.run(out)
    assert tree(out) == expected, difference(expected, tree(out))
    return hit


def main():
    program, simulate, description = sys.argv[1:4]
    kills = int(sys.argv[4]) if len(sys.argv) > 4 else 20
    choose = random.Random(int(sys.argv[5]) if len(sys.argv) > 5 else 4)
    with tempfile.TemporaryDirectory() as name:
        work = pathlib.Path(name)
        batch = Batch(program, make_shelf(simulate, description, work))
        begin = time.monotonic()
        batch.run(work / "undisturbed")
        length_s = time.monotonic() - begin
        expected = tree(work / "undisturbed")
        assert sum(name.endswith("result.json") for name in expected) == 3, sorted(expected)
        # Any of ten tries: which process is hit, and when, depends on the machine.
        assert any(kill_one_case(batch, work / f"one{i}", expected) for i in range(10))
        broken = tries = 0
        while broken < kills and tries < 2 * kills:
            i = tries
            tries += 1
            # Every fourth one is killed while it replaces what is there.
            out = work / ("undisturbed" if i % 4 == 3 else f"killed{i}")
            process = batch.start(out, *(["--again"] if i % 4 == 3 else []))
            moment_s = choose.uniform(0, 0.95 * length_s)
            time.sleep(moment_s)
            # Its main process alone, or all of them.
            (os.kill if i % 2 else os.killpg)(process.pid, signal.SIGKILL)
            process.communicate()
            if process.returncode < 0:
                broken += 1
            else:
                # It ended before: the machine is quicker now than it was at the beginning.
                length_s = min(length_s, moment_s)
            batch.run(out)
            wrong = difference(expected, tree(out))
            assert not wrong, f"kill {i} after {moment_s:.3f} s: {wrong}"
            if i % 4 != 3:
                shutil.rmtree(out)
        print(f"killed {broken} times within {length_s:.2f} s, outcome the same each time")
        assert broken == kills, f"only {broken} of {tries} kills came before the end"


if __name__ == "__main__":
    main()
