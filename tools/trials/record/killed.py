#!/usr/bin/python3
# SPDX-FileCopyrightText: The ohmglow authors
# SPDX-License-Identifier: Apache-2.0
"""What is left of a recording that was killed at a random moment, against the simulated bench.

killed.py BUILD DESCRIPTION [--runs N] [--jobs N]

For each run: whether `ohmglow locate` or, where no step had come yet, `ohmglow align`
reads the folder, and how many seconds of frames before the kill are missing.
"""
import argparse
import concurrent.futures
import pathlib
import random
import re
import shutil
import signal
import subprocess
import sys
import tempfile
import time


def one(job):
    build, description, seed = job
    folder = pathlib.Path(tempfile.mkdtemp(prefix="ohmglow-killed-"))
    try:
        bench = subprocess.Popen(
            [build / "tools/simulate/simulate", "--bench", description, "--seed", str(seed), "--out",
             folder], stdout=subprocess.PIPE, stderr=subprocess.PIPE)
        line = bench.stderr.readline().decode()
        address, form, rate = re.match(r"supply on (\S+), frames (\S+) at (\S+) Hz", line).groups()
        recorder = subprocess.Popen(
            [build / "src/cli/ohmglow", "record", folder / "board/board.ini", "--out",
             folder / "case", "--frames", "-", "--format", form, "--rate-hz", rate, "--supply",
             address, "--max-volts", "5", "--max-amps", "1", "--max-seconds", "40", "--yes",
             "--threads", "1"], stdin=bench.stdout, stdout=open(folder / "said", "w"),
            stderr=subprocess.STDOUT)
        bench.stdout.close()
        while not (folder / "case/case.ini").exists():
            time.sleep(0.005)
        start = time.monotonic()
        time.sleep(random.Random(seed).uniform(2, 30))
        if recorder.poll() is not None:
            stopped = [x for x in (folder / "said").read_text().splitlines() if "STOPPED" in x]
            bench.kill()
            return seed, 0, "ended before", -1, 0, " ".join(stopped)
        recorder.send_signal(signal.SIGKILL)
        filmed_s = time.monotonic() - start
        recorder.wait()
        bench.kill()
        bench.wait()
        rows = (folder / "case/frames.csv").read_text().splitlines()
        lost_s = filmed_s - float(rows[-1].split(",")[1])
        command = "locate" if filmed_s > 8 else "align"
        read = subprocess.run([build / "src/cli/ohmglow", command, folder / "case/case.ini", "--out",
                               folder / "result", "--threads", "1"], capture_output=True, text=True)
        return seed, filmed_s, command, read.returncode, lost_s, read.stderr.strip()
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("build", type=pathlib.Path)
    parser.add_argument("description")
    parser.add_argument("--runs", type=int, default=30)
    parser.add_argument("--jobs", type=int, default=4)
    given = parser.parse_args()
    jobs = [(given.build, given.description, 1 + k) for k in range(given.runs)]
    bad = 0
    early = 0  # Stopped by a guard before the kill, as on a computer that is too busy.
    worst_s = 0
    with concurrent.futures.ThreadPoolExecutor(given.jobs) as pool:
        for seed, filmed_s, command, code, lost_s, error in pool.map(one, jobs):
            worst_s = max(worst_s, lost_s)
            if command == "ended before":
                early += 1
                print(f"{seed:3} not counted: {error}", flush=True)
                continue
            good = code == 0 and lost_s <= 1
            bad += not good
            print(f"{seed:3} killed after {filmed_s:5.2f} s: {command} ends with {code}, "
                  f"{lost_s:.2f} s lost {'' if good else 'NOT GOOD ' + error}", flush=True)
    print(f"{given.runs - early - bad} of {given.runs - early} read; at most {worst_s:.2f} s lost")
    return 1 if bad else 0


if __name__ == "__main__":
    sys.exit(main())
