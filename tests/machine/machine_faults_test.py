#!/usr/bin/env python3
# SPDX-FileCopyrightText: The ohmglow authors
# SPDX-License-Identifier: Apache-2.0
"""The program where the machine fails it, and on inputs of odd sizes.

    machine_faults_test.py OHMGLOW CASE.ini WORK_FOLDER

Each run must end in a right answer or in one clear line and an exit code, and never leave half a result.
"""
import os
import random
import resource
import shutil
import signal
import struct
import subprocess
import sys
import time
import zlib
from pathlib import Path

PROGRAM, SAMPLE, WORK = sys.argv[1], Path(sys.argv[2]).parent, Path(sys.argv[3])
KNOWN = "Almost certainly the fault: C1"
failures = []


def check(what, condition, detail=""):
    print(("ok    " if condition else "WRONG ") + what, "" if condition else str(detail)[:300], flush=True)
    if not condition:
        failures.append(what)


def run(arguments, limits=None, ignored=(), env=None, stdout=subprocess.PIPE, cwd=None):
    def prepare():
        for key, value in (limits or {}).items():
            resource.setrlimit(key, (value, value))
        for number in ignored:
            signal.signal(number, signal.SIG_IGN)

    return subprocess.run([PROGRAM, *arguments], stdout=stdout, stderr=subprocess.PIPE, preexec_fn=prepare,
                          env={**os.environ, **(env or {})}, cwd=cwd, timeout=250, check=False)


def locate(case, out, **options):
    return run(["locate", case, "--out", out, "--threads", "1"], **options)


def one_line(process):
    text = process.stderr.decode(errors="replace")
    return text.startswith("ohmglow: ") and text.count("\n") == 1 and "internal error" not in text


def copy_of_sample(name):
    folder = WORK / name
    shutil.copytree(SAMPLE, folder)
    for path in folder.rglob("*"):
        path.chmod(0o755 if path.is_dir() else 0o644)
    return folder


def disk_full():
    # A file that cannot grow is a disk that is full: the same error comes out of the same call.
    for kib in (0, 100, 250):
        out = WORK / "full"
        done = locate(SAMPLE / "case.ini", out, limits={resource.RLIMIT_FSIZE: kib * 1024},
                      ignored=(signal.SIGXFSZ,))
        check(f"disk full after {kib} KiB of a file: one line, exit 5", done.returncode == 5 and one_line(done),
              done.stderr)
        check("  nothing is left", not list(WORK.glob("full*")), list(WORK.glob("full*")))
    with open("/dev/full", "wb") as full:
        done = run(["locate", SAMPLE / "case.ini", "--json", "-", "--threads", "1"], stdout=full)
    check("standard output full: one line, exit 5", done.returncode == 5 and one_line(done), done.stderr)


def little_memory():
    # Loading the libraries alone takes some 110 MiB of addresses. Where it first ends while text is
    # drawn, the font libraries end the program themselves, with lines of their own.
    ended = []
    for mib in (130, 150, 700):
        done = locate(SAMPLE / "case.ini", WORK / "memory", limits={resource.RLIMIT_AS: mib << 20})
        ended.append(done.returncode)
        fine = done.returncode == 0 or one_line(done) or done.returncode == 127
        check(f"{mib} MiB of memory: an answer or one line", fine, (done.returncode, done.stderr))
        shutil.rmtree(WORK / "memory", ignore_errors=True)
    check("  some of these did not suffice, the last did", ended[0] != 0 and ended[-1] == 0, ended)


def ended_from_outside():
    for seconds in (0.1, 0.5, 0.9):
        out = WORK / "term"
        process = subprocess.Popen([PROGRAM, "locate", SAMPLE / "case.ini", "--out", out],
                                   stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
        time.sleep(seconds)
        process.send_signal(signal.SIGTERM)
        process.wait()
        whole = not out.exists() or (out / "result.json").exists()
        check(f"SIGTERM after {seconds} s: all of the result or none", whole and not list(WORK.glob("term.partial*")))
        shutil.rmtree(out, ignore_errors=True)


def names_and_locale():
    for name in (b"with blank", b"new\nline", b"\xff\xfe no UTF-8", b"-dash"):
        folder = os.path.join(os.fsencode(WORK), name)
        shutil.copytree(os.fsencode(SAMPLE), folder)
        done = run(["locate", folder, "--out", folder + b" out", "--threads", "1"])
        check(f"a folder named {name}", done.returncode == 0 and KNOWN in done.stdout.decode(), done.stderr)
    # A locale with decimal comma, made here: the machine may have none.
    locales = WORK / "locales"
    locales.mkdir()
    made = shutil.which("localedef") and subprocess.run(
        ["localedef", "-i", "de_DE", "-f", "UTF-8", locales / "de_DE.UTF-8"], capture_output=True, check=False)
    if not made or not (locales / "de_DE.UTF-8").exists():
        print("SKIPPED: a locale with decimal comma: localedef or its sources are missing")
        return
    command = ["locate", SAMPLE / "case.ini", "--json", "-", "--threads", "1"]
    comma = run(command, env={"LOCPATH": str(locales), "LC_ALL": "de_DE.UTF-8"})
    point = run(command, env={"LC_ALL": "C"})
    check("a locale with decimal comma changes no byte", comma.stdout == point.stdout and comma.returncode == 0)


def many_parts():
    folder = copy_of_sample("parts")
    rng = random.Random(1)
    with open(folder / "parts.csv", "a", encoding="utf-8") as file:
        for i in range(10000):
            x, y = 60 + rng.uniform(0, 900), 60 + rng.uniform(0, 900)  # Beside the places of heat.
            file.write(f"X{i},{x:.2f},{y:.2f},0.6,0.3,{'top' if i % 2 else 'bottom'},cap\n")
    done = locate(folder / "case.ini", WORK / "parts-out")
    check("10 000 parts", KNOWN in done.stdout.decode(), done.stderr)


def many_landmarks():
    folder = copy_of_sample("points")
    lines = (folder / "points.csv").read_text(encoding="utf-8").splitlines()
    rows = (lines[1:] * 200)[:200]
    (folder / "points.csv").write_text("\n".join([lines[0], *rows]) + "\n", encoding="utf-8")
    done = locate(folder / "case.ini", WORK / "points-out")
    check("200 landmarks", KNOWN in done.stdout.decode(), done.stderr)


def stretched(factor):
    folder = copy_of_sample("hours")
    for name in ("frames.csv", "supply.csv"):
        lines = (folder / name).read_text(encoding="utf-8").splitlines()
        column = lines[0].split(",").index("time_s")
        with open(folder / name, "w", encoding="utf-8") as file:
            file.write(lines[0] + "\n")
            for line in lines[1:]:
                cells = line.split(",")
                cells[column] = f"{float(cells[column]) * factor:.3f}"
                file.write(",".join(cells) + "\n")
    done = locate(folder / "case.ini", WORK / "hours-out")
    check("a capture of three hours", KNOWN in done.stdout.decode(), done.stderr)


def many_levels():
    folder = copy_of_sample("levels")
    last_s = float((folder / "supply.csv").read_text(encoding="utf-8").splitlines()[-1].split(",")[0])
    with open(folder / "supply.csv", "w", encoding="utf-8") as file:
        file.write("time_s,volts,amps\n")
        for i in range(1000):
            file.write(f"{i * last_s / 1000:.4f},1,{(i % 7) * 0.25:.2f}\n")
    done = locate(folder / "case.ini", WORK / "levels-out")
    # Of another capture, as it were: no fault may be named by it.
    check("1000 levels that the frames do not follow",
          done.returncode == 0 and done.stdout.decode().startswith(("No fault", "Could not", "Nothing")),
          (done.stdout[:100], done.stderr))


def small_frames():
    for width, height in ((1, 1), (8, 8)):
        folder = WORK / f"small{width}"
        folder.mkdir()
        for i in range(60):
            value = 30000 + (i * 7919) % 11 + (300 if 20 <= i < 40 else 0)
            pixels = struct.pack(">H", value) * (width * height)
            (folder / f"f{i:03}.pgm").write_bytes(b"P5 %d %d 65535\n" % (width, height) + pixels)
        rows = "".join(f"{i / 8},1,{0.5 if 20 <= i < 40 else 0}\n" for i in range(60))
        (folder / "supply.csv").write_text("time_s,volts,amps\n" + rows, encoding="utf-8")
        (folder / "case.ini").write_text(
            "[frames]\nsource = f*.pgm\nscale = 0.01\nrate_hz = 8\n[supply]\nlog = supply.csv\n", encoding="utf-8")
        done = locate(folder / "case.ini", WORK / "small-out")
        check(f"frames of {width} x {height} pixels: one line, exit 4", done.returncode == 4 and one_line(done),
              (done.returncode, done.stderr))


def png_chunk(kind, data):
    return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))


def large_photo():
    folder = copy_of_sample("photo")
    header = (SAMPLE / "photo.png").read_bytes()[16:24]
    old_width, old_height = struct.unpack(">II", header)
    times = 12000 / old_width
    width, height = 12000, int(old_height * times)
    packer = zlib.compressobj(1)
    row = b"\0" + b"\x60" * width
    data = b"".join(packer.compress(row) for _ in range(height)) + packer.flush()
    (folder / "photo.png").write_bytes(
        b"\x89PNG\r\n\x1a\n" + png_chunk(b"IHDR", struct.pack(">IIBBBBB", width, height, 8, 0, 0, 0, 0)) +
        png_chunk(b"IDAT", data) + png_chunk(b"IEND", b""))
    lines = (folder / "points.csv").read_text(encoding="utf-8").splitlines()
    names = lines[0].split(",")
    with open(folder / "points.csv", "w", encoding="utf-8") as file:
        file.write(lines[0] + "\n")
        for line in lines[1:]:
            cells = line.split(",")
            for name in ("photo_x", "photo_y"):
                k = names.index(name)
                cells[k] = f"{(float(cells[k]) + 0.5) * times - 0.5:.2f}"
            file.write(",".join(cells) + "\n")
    done = locate(folder / "case.ini", WORK / "photo-out")
    check(f"a photo of {width * height // 1000000} megapixels", KNOWN in done.stdout.decode(), done.stderr)


def main():
    shutil.rmtree(WORK, ignore_errors=True)
    WORK.mkdir(parents=True)
    disk_full()
    little_memory()
    ended_from_outside()
    names_and_locale()
    many_parts()
    many_landmarks()
    stretched(340)
    many_levels()
    small_frames()
    large_photo()
    shutil.rmtree(WORK, ignore_errors=True)
    return 1 if failures else 0


if __name__ == "__main__":
    sys.exit(main())
