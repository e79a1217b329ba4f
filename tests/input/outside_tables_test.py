#!/usr/bin/env python3
# SPDX-FileCopyrightText: The ohmglow authors
# SPDX-License-Identifier: Apache-2.0
"""One supply log and one placement list as other programs write them, read to the same numbers.

outside_tables_test.py DUMP   where DUMP is input_dump_tables.
Programs: iconv (encodings), gawk (delimiters and decimal commas), Python's csv module (quotes and
line ends). One that is absent is said and left out.
"""
import csv
import pathlib
import shutil
import subprocess
import sys
import tempfile

DUMP = sys.argv[1]
failures = []
checks = 0

# The truth: a step at 2.5 s. Invented, as the board is.
LOG = [(i * 0.5, 12.0 if i < 5 else 11.875, 0.0 if i < 5 else 0.2505) for i in range(12)]
# ref, x mm, y mm, degrees, side, package; then the box around the turned body in mm.
PARTS = [('C1', 12.7, 5.08, 90.0, 'top', '0402', 0.5, 1.0),
         ('R7', 30.48, 7.62, 0.0, 'top', '0805', 2.0, 1.25),
         ('U2', 45.72, 20.32, 270.0, 'bottom', 'QFN-32 5x4mm', 4.0, 5.0)]


def have(*programs):
    absent = [p for p in programs if shutil.which(p) is None]
    if absent:
        print('LEFT OUT:', ', '.join(absent), 'absent')
    return not absent


def dump(kind, path):
    done = subprocess.run([DUMP, kind, str(path)], capture_output=True, text=True)
    if done.returncode != 0:
        return done.stderr.strip()
    return [line.split('\t') for line in done.stdout.splitlines()]


def expect(name, kind, path):
    global checks
    checks += 1
    got = dump(kind, path)
    if isinstance(got, str):
        failures.append(f'{name}: {got}')
        return
    if kind == 'log':
        wanted = [[str(v) for v in row] for row in LOG]
    else:
        wanted = [[ref, str(x), str(y), str(w), str(h), side]
                  for ref, x, y, _, side, _, w, h in PARTS]
    if len(got) != len(wanted):
        failures.append(f'{name}: {len(got)} rows, not {len(wanted)}')
        return
    for a, b in zip(got, wanted):
        for x, y in zip(a, b):
            try:
                same = abs(float(x) - float(y)) < 1e-6
            except ValueError:
                same = x == y
            if not same:
                failures.append(f'{name}: {x}, not {y}, in {a}')
                return


def run(words, source, target, **more):
    with open(source, 'rb') as given, open(target, 'wb') as taken:
        subprocess.run(words, stdin=given, stdout=taken, check=True, **more)


def plain(folder):
    """Both tables in the simplest form, as input of the other programs."""
    log = folder / 'plain_log.csv'
    log.write_text('time_s,volts,amps\n' + ''.join(f'{t},{v},{a}\n' for t, v, a in LOG))
    parts = folder / 'plain_parts.csv'
    parts.write_text('Ref,X (mm),Y (mm),Rotation,Side,Package\n' +
                     ''.join(','.join(map(str, row[:6])) + '\n' for row in PARTS))
    expect('plain log', 'log', log)
    expect('plain parts', 'parts', parts)
    return log, parts


def by_gawk(folder, log, parts):
    """Decimal commas, semicolons, tabs and other units, with letters beyond ASCII in the headers."""
    comma = 'function c(x) { x = sprintf("%.4f", x); sub(/\\./, ",", x); return x } '
    log_rows = (comma + 'BEGIN { FS = ","; print "Messung f\u00fcr Pr\u00fcfling 3"; '
                'print "Messzeit [s];Spannung [V];Strom [mA]" } NR > 1 { print c($1) ";" c($2) ";" c($3 * 1000) }')
    part_rows = (comma + 'BEGIN { FS = ","; print "Bezeichner;X (mil);Y (mil);Drehung;Seite;Geh\u00e4use" } '
                 'NR > 1 { print $1 ";" c($2 / 0.0254) ";" c($3 / 0.0254) ";" c($4) ";" '
                 '($5 == "top" ? "oben" : "unten") ";" $6 }')
    german_log, german_parts = folder / 'german_log.csv', folder / 'german_parts.csv'
    run(['gawk', log_rows], log, german_log)
    run(['gawk', part_rows], parts, german_parts)
    expect('gawk log, decimal commas', 'log', german_log)
    expect('gawk parts, decimal commas', 'parts', german_parts)
    tabs = 'BEGIN { FS = ","; OFS = "\\t" } { $1 = $1; print }'
    for kind, source in (('log', log), ('parts', parts)):
        target = folder / f'tabs_{kind}.txt'
        run(['gawk', tabs], source, target)
        expect(f'gawk {kind}, tabs', kind, target)
    return german_log, german_parts


def by_iconv(folder, german_log, german_parts):
    for code in ('UTF-16', 'UTF-16LE', 'UTF-16BE', 'ISO-8859-1', 'WINDOWS-1252'):
        for kind, source in (('log', german_log), ('parts', german_parts)):
            target = folder / f'{code}_{kind}.csv'
            run(['iconv', '-f', 'UTF-8', '-t', code], source, target)
            expect(f'iconv {kind}, {code}', kind, target)


def by_csv_module(folder):
    """Everything in quotes, with delimiters, quotes and line ends inside, and CR LF."""
    for mark in ',;\t':
        kind = {'delimiter': mark, 'quoting': csv.QUOTE_ALL, 'lineterminator': '\r\n'}
        log = folder / 'quoted_log.csv'
        with open(log, 'w', newline='', encoding='utf-8-sig') as file:
            rows = csv.writer(file, **kind)
            rows.writerow(['Time (ms)', 'Note', 'Voltage (V)', 'Current (mA)'])
            for t, v, a in LOG:
                rows.writerow([f'{t * 1000:.0f}', f'so, "{mark}" far', f'{v:.4f}', f'{a * 1000:.4f}'])
        expect(f'csv module log, {mark!r}', 'log', log)
        parts = folder / 'quoted_parts.csv'
        with open(parts, 'w', newline='', encoding='utf-8-sig') as file:
            rows = csv.writer(file, **kind)
            rows.writerow(['Designator', 'Comment', 'Layer', 'Footprint', 'Mid X', 'Mid Y', 'Rotation'])
            for ref, x, y, turn, side, package, _, _ in PARTS:
                rows.writerow([ref, f'100n{mark} "50 V"', side, package, f'{x:.4f}mm', f'{y:.4f}mm',
                               f'{turn:.2f}'])
        expect(f'csv module parts, {mark!r}', 'parts', parts)


def main():
    with tempfile.TemporaryDirectory() as name:
        folder = pathlib.Path(name)
        log, parts = plain(folder)
        by_csv_module(folder)
        if have('gawk'):
            german = by_gawk(folder, log, parts)
            if have('iconv'):
                by_iconv(folder, *german)
    for failure in failures:
        print('FAILED:', failure)
    print(f'{checks} checks, {len(failures)} failed')
    return 1 if failures or checks == 0 else 0


sys.exit(main())
