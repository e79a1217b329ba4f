#!/usr/bin/python3
# SPDX-FileCopyrightText: The ohmglow authors
# SPDX-License-Identifier: Apache-2.0
"""How soon the output goes off after each fault, in real time, against the simulated bench.

faults.py BUILD DESCRIPTION [--runs N] [--only FAULT,...] [--most-ms MS] [--jobs N]

Prints, for each fault, the runs in which the supply was told off, and after how many
milliseconds: median and worst. Ends with 1 where one took longer than --most-ms
(after kill -9: 500 ms at least), or a fault that must not matter did.
"""
import argparse
import concurrent.futures
import os
import pathlib
import re
import shutil
import signal
import subprocess
import sys
import tempfile
import time

# What is done to whom, in the first steps of the current (6.5 s) or at rest (3 s).
BENCH = {"camera-stalls": 6.5, "camera-ends": 6.5, "camera-repeats": 6.5, "supply-silent": 6.5,
         "supply-late": 6.5, "supply-gone": 6.5, "supply-leaks": 3, "supply-high": 6.5,
         "supply-wrong": 6.5, "part-opens": 6.5, "part-burns": 6.5}
PROGRAM = {"recorder-killed": signal.SIGKILL, "recorder-ended": signal.SIGTERM,
           "recorder-hangs": signal.SIGSTOP, "recorder-interrupted": signal.SIGINT,
           "guardian-killed": signal.SIGKILL, "guardian-stopped": signal.SIGSTOP,
           "computer-stands": signal.SIGSTOP}
HARMLESS = ["dead-pixel"]
TOO_EARLY = -2
# From when on the fault can be told: silence and sameness must last, heat must rise.
ALLOWED_S = {"camera-stalls": 0.5, "camera-repeats": 1.5, "guardian-stopped": 0.3}


def run(build, description, fault, seed, folder):
    """-> seconds from the fault to the order to switch off, or None; exit code; output."""
    folder = pathlib.Path(folder)
    bench_fault = fault in BENCH or fault in HARMLESS
    command = [build / "tools/simulate/simulate", "--bench", description, "--seed", str(seed),
               "--out", folder, "--events", folder / "events"]
    if bench_fault:
        command += ["--fault", fault, "--fault-s", str(BENCH.get(fault, 6.5))]
    bench = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE)
    line = bench.stderr.readline().decode()
    address, form, rate = re.match(r"supply on (\S+), frames (\S+) at (\S+) Hz", line).groups()
    with open(folder / "out", "w") as out:
        recorder = subprocess.Popen(
            [build / "src/cli/ohmglow", "record", folder / "board/board.ini", "--out",
             folder / "case", "--frames", "-", "--format", form, "--rate-hz", rate, "--supply",
             address, "--max-volts", "5", "--max-amps", "1", "--max-seconds", "12", "--yes",
             "--threads", "1"], stdin=bench.stdout, stdout=out, stderr=out)
        bench.stdout.close()
        begun = None
        if fault in PROGRAM and wait_for(folder / "events", "output on", recorder):
            time.sleep(0.7)
            begun = do_it(fault, recorder.pid)
        code = recorder.wait(timeout=60)
    time.sleep(0.7 if fault in PROGRAM else 0)
    bench.kill()
    bench.wait()
    told, on = [], None
    for row in (folder / "events").read_text().splitlines():
        seconds, what = row.split(",")
        if what.startswith("fault"):
            begun = float(seconds)
        if what == "told off":
            told.append(float(seconds))
        if what == "output on" and on is None:
            on = float(seconds)
    after = [t - begun for t in told if begun is not None and t > begun]
    stopped_before = on is not None and begun is not None and any(on < t <= begun for t in told)
    if begun is None or stopped_before or (code == 7 and not after):
        return None, TOO_EARLY, (folder / "out").read_text()
    return (min(after) if after else None), code, (folder / "out").read_text()


def do_it(fault, recorder):
    """Does it to the recorder, its guardian or both; -> from when on it can be told."""
    children = pathlib.Path(f"/proc/{recorder}/task/{recorder}/children").read_text().split()
    guardian = int(children[0])
    targets = {"guardian": [guardian], "computer": [guardian, recorder]}
    begun = time.monotonic()
    for target in targets.get(fault.split("-")[0], [recorder]):
        os.kill(target, PROGRAM[fault])
    if fault == "recorder-hangs":
        time.sleep(2)
        os.kill(recorder, signal.SIGCONT)
    if fault == "computer-stands":
        time.sleep(2)
        begun = time.monotonic()
        for target in (guardian, recorder):
            os.kill(target, signal.SIGCONT)
    return begun


def wait_for(events, what, process):
    while process.poll() is None:
        if events.exists() and what in events.read_text():
            return True
        time.sleep(0.01)
    return False


def one(job):
    """A recording that a guard stopped before the fault began (on a computer that is too busy)
    says nothing of it: tried again."""
    for _ in range(3):
        outcome = once(job)
        if outcome[2] != TOO_EARLY:
            break
    return outcome


def once(job):
    build, description, fault, seed = job
    folder = tempfile.mkdtemp(prefix="ohmglow-faults-")
    try:
        return fault, *run(build, description, fault, seed, folder)
    except Exception as error:  # A run that breaks is a run that failed.
        return fault, None, -1, repr(error)
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("build", type=pathlib.Path)
    parser.add_argument("description")
    parser.add_argument("--runs", type=int, default=1)
    parser.add_argument("--only", default="")
    parser.add_argument("--most-ms", type=float, default=300)
    parser.add_argument("--jobs", type=int, default=4)
    given = parser.parse_args()
    names = given.only.split(",") if given.only else [*BENCH, *PROGRAM, *HARMLESS]
    jobs = [(given.build, given.description, name, 1 + k) for k in range(given.runs)
            for name in names]
    results = {name: [] for name in names}
    with concurrent.futures.ThreadPoolExecutor(given.jobs) as pool:
        for fault, seconds, code, text in pool.map(one, jobs):
            results[fault].append((seconds, code, text))
    failed = False
    for name, runs in results.items():
        allowed = ALLOWED_S.get(name, 0)
        if name in HARMLESS:
            bad = [run for run in runs if run[1] != 0]
            print(f"{name:22} {'MATTERED' if bad else 'does not matter'} in {len(runs)} runs")
        else:
            took = sorted(1000 * (s - allowed) for s, _, _ in runs if s is not None)
            most = max(500, given.most_ms) if name.endswith("-killed") else given.most_ms
            bad = [run for run in runs if run[0] is None or 1000 * (run[0] - allowed) > most]
            shown = f"median {took[len(took) // 2]:.0f} ms, worst {took[-1]:.0f} ms" if took else ""
            print(f"{name:22} told off in {len(took)} of {len(runs)} runs  {shown}"
                  f"{'  NOT GOOD' if bad else ''}", flush=True)
        failed = failed or bool(bad)
        for _, code, text in bad:
            stopped = [row for row in text.splitlines() if "STOPPED" in row]
            print("   exit", code, "|", " / ".join(stopped or text.strip().splitlines()[-4:]))
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
