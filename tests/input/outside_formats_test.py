#!/usr/bin/env python3
# SPDX-FileCopyrightText: The ohmglow authors
# SPDX-License-Identifier: Apache-2.0
"""Frames in files that other programs write, value for value as those programs were given them.

outside_formats_test.py DUMP   where DUMP is input_dump_pages.
Programs: NumPy, the tools of libtiff and netpbm, ImageMagick, GNU tar, zip, gawk, and a FITS file
by the CFITSIO tools where they are there. One that is absent is said and left out.
"""
import pathlib
import shutil
import struct
import subprocess
import sys
import tempfile
import zipfile

try:
    import numpy as np
except ImportError:
    print('SKIPPED: NumPy is absent')
    sys.exit(77)

DUMP = sys.argv[1]
failures = []
checks = 0


def have(*programs):
    absent = [p for p in programs if shutil.which(p) is None]
    if absent:
        print('LEFT OUT:', ', '.join(absent), 'absent')
    return not absent


def run(*words, **more):
    return subprocess.run([str(w) for w in words], check=True, **more)


def dump(path, *size):
    done = subprocess.run([DUMP, str(path), *map(str, size)], capture_output=True)
    if done.returncode != 0:
        return done.stderr.decode()
    count, width, height = map(int, done.stderr.split())
    return np.frombuffer(done.stdout, np.float32).reshape(count, height, width)


def expect(name, path, wanted, *size, within=0.0):
    global checks
    checks += 1
    got = dump(path, *size)
    wanted = np.asarray(wanted, np.float64).astype(np.float32)
    if wanted.ndim == 2:
        wanted = wanted[None]
    if isinstance(got, str):
        failures.append(f'{name}: {got.strip()}')
    elif got.shape != wanted.shape:
        failures.append(f'{name}: shape {got.shape}, not {wanted.shape}')
    elif not np.array_equal(np.isnan(got), np.isnan(wanted)):
        failures.append(f'{name}: other holes')
    elif np.nanmax(np.abs(got - wanted)) > within:
        failures.append(f'{name}: off by {np.nanmax(np.abs(got - wanted))}')


def cube(dtype, seed=20261128):
    random = np.random.default_rng(seed)
    values = 29000 + random.integers(0, 2000, (5, 19, 31))
    if np.dtype(dtype).kind == 'f':
        return (values / 100).astype(dtype)
    return (values % 127 if np.dtype(dtype).itemsize == 1 else values).astype(dtype)


def numpy_files(folder):
    for dtype in 'u1 i1 <u2 >u2 <i2 >i2 <u4 >i4 <i8 <u8 <f2 <f4 >f4 <f8 >f8'.split():
        values = cube(dtype)
        for order in 'CF':
            path = folder / f'{dtype[-2:]}{order}.npy'
            np.save(path, np.asarray(values, order=order))
            expect(f'NPY {dtype} {order}', path, values)
            np.save(path, np.asarray(values[0], order=order))
            expect(f'NPY {dtype} {order} one', path, values[0])
    values = cube('<u2')
    np.savez(folder / 'a.npz', frames=values, times=np.arange(5.0))
    expect('NPZ', folder / 'a.npz', values)
    np.savez_compressed(folder / 'b.npz', frames=values)
    expect('NPZ deflated', folder / 'b.npz', values)
    values.tofile(folder / 'f.raw')
    expect('raw', folder / 'f.raw', values, 31, 19)
    celsius = cube('<f4') - np.float32(273.15)
    for delimiter in (',', ';', '\t', ' '):
        np.savetxt(folder / 't.csv', celsius[0], fmt='%.3f', delimiter=delimiter)
        expect(f'savetxt {delimiter!r}', folder / 't.csv', np.loadtxt(
            folder / 't.csv', delimiter=None if delimiter in ' \t' else delimiter))


def gawk_tables(folder):
    if not have('gawk'):
        return
    values = np.round(cube('<f4') - 273.15, 2)
    plain = folder / 'plain.txt'
    with open(plain, 'w') as out:
        for n, frame in enumerate(values):
            out.write(f'Frame {n + 1}; emissivity 0.95\n')
            for row in frame:
                out.write(' '.join(f'{v:.2f}' for v in row) + '\n')
    expect('frames one below the other', plain, values)
    for name, program in {
            'semicolons, decimal comma, CRLF':
                r'/^Frame/ {printf "%s\r\n", $0; next} {gsub(/ /, ";"); gsub(/\./, ","); printf "%s\r\n", $0}',
            'tabs, units': r'/^Frame/ {print; next} {for (i = 1; i <= NF; ++i) printf "%s C%s", $i, i < NF ? "\t" : "\n"}',
            'blank lines between':
                r'/^Frame/ {print ""; next} {print}',
            'row and column numbers':
                r'/^Frame/ {print ""; printf "row"; for (i = 0; i < 31; ++i) printf ";%d", i; print ""; n = 0; next}'
                r'{gsub(/ /, ";"); print n++ ";" $0}',
            'quotes': r'/^Frame/ {print; next} {for (i = 1; i <= NF; ++i) printf "\"%s\"%s", $i, i < NF ? "," : "\n"}',
    }.items():
        with open(folder / 'odd.csv', 'w') as out:
            run('gawk', program, plain, stdout=out)
        expect('gawk: ' + name, folder / 'odd.csv', values, within=2e-6)
    with open(folder / 'stack.txt', 'w') as out:
        run('gawk', '!/^Frame/', plain, stdout=out)
    expect('rows without a break', folder / 'stack.txt', values, 31, 19)
    with open(folder / 'lines.csv', 'w') as out:
        run('gawk', r'BEGIN {ORS = " "} /^Frame/ {if (NR > 1) printf "\n"; next} {print}', plain,
            stdout=out)
    expect('one frame a line', folder / 'lines.csv', values, 31, 19)


def tiff_tools(folder):
    if not have('convert', 'tiffcp', 'tiffset', 'tiffinfo'):
        return
    values = cube('>u2')
    for n, frame in enumerate(values):
        with open(folder / f'p{n}.pgm', 'wb') as out:
            out.write(b'P5\n31 19\n65535\n' + frame.tobytes())
    pages = [folder / f'p{n}.pgm' for n in range(5)]
    for page, frame in zip(pages, values):
        run('convert', page, '-depth', '16', page.with_suffix('.tif'))
        run('convert', page, '-depth', '16', page.with_suffix('.png'))
        expect('PNG by ImageMagick', page.with_suffix('.png'), frame)
        run('convert', page, '-depth', '16', '-compress', 'none', folder / 'plain.pgm')
        expect('plain PGM by ImageMagick', folder / 'plain.pgm', frame)
        run('convert', page, '-define', 'quantum:format=floating-point', '-depth', '32', folder / 'f.pfm')
        expect('PFM by ImageMagick', folder / 'f.pfm', frame / 65535, within=1e-7)
        run('convert', page, '-depth', '16', folder / 'f.fits')
        flipped = dump(folder / 'f.fits')
        if isinstance(flipped, str) or not (np.array_equal(flipped[0], frame[::-1]) or
                                            np.array_equal(flipped[0], frame)):
            failures.append(f'FITS by ImageMagick: {flipped}')
        break
    for n, page in enumerate(pages):
        run('convert', page, '-depth', '16', page.with_suffix('.tif'))
    tiffs = [page.with_suffix('.tif') for page in pages]
    for options in ('-c none', '-c none -B', '-c none -L', '-c none -8', '-c lzw', '-c lzw:2', '-c zip',
                    '-c zip:2', '-c packbits', '-c zstd', '-c lzma', '-t -w 16 -l 16 -c zip',
                    '-r 3 -c lzw', '-t -w 32 -l 16 -c none', '-c none -f lsb2msb'):
        out = folder / 'copy.tif'
        done = subprocess.run(['tiffcp', *options.split(), *map(str, tiffs), str(out)],
                              capture_output=True)
        if done.returncode != 0:
            print('LEFT OUT: tiffcp', options, done.stderr.decode().strip()[:80])
            continue
        expect('tiffcp ' + options, out, values)
    turns = {1: lambda a: a, 2: lambda a: a[:, ::-1], 3: lambda a: a[::-1, ::-1],
             4: lambda a: a[::-1], 5: lambda a: a.T, 6: lambda a: a.T[:, ::-1],
             7: lambda a: a.T[::-1, ::-1], 8: lambda a: a.T[::-1]}
    for number, turn in turns.items():
        shutil.copy(tiffs[0], folder / 'turned.tif')
        run('tiffset', '-s', '274', number, folder / 'turned.tif')
        expect(f'orientation {number}', folder / 'turned.tif', turn(values[0]))
    shutil.copy(tiffs[0], folder / 'white.tif')
    run('tiffset', '-s', '262', '0', folder / 'white.tif')
    expect('min is white', folder / 'white.tif', 65535 - values[0].astype(float))
    for bits, kind in ((8, 'unsigned'), (32, 'unsigned'), (16, 'floating-point'),
                       (32, 'floating-point'), (64, 'floating-point')):
        out = folder / 'deep.tif'
        # It complains of a tag it does not know, yet writes the file.
        subprocess.run(['convert', str(tiffs[0]), '-compress', 'none', '-depth', str(bits), '-define',
                        f'quantum:format={kind}', str(out)], capture_output=True, check=False)
        got = dump(out)
        scale = {8: 255, 16: 1, 32: 2**32 - 1, 64: 1}[bits] if kind == 'unsigned' else 1
        wanted = values[0] / 65535
        if isinstance(got, str) or got.shape != (1, 19, 31):
            failures.append(f'TIFF {bits} {kind}: {got}')
            continue
        off = np.abs(got[0] / scale - wanted).max()
        if off > {8: 1 / 255, 16: 1e-3, 32: 1e-7, 64: 1e-7}[bits]:
            failures.append(f'TIFF {bits} {kind}: off by {off}')


class Unseekable:
    """As a pipe: sizes go behind the bytes."""

    def __init__(self, file):
        self.write = file.write
        self.flush = file.flush


def without_first_entry(packed):
    """A zip whose first member (by name) is left out of its list (APPNOTE.TXT 4.3.12 and 4.3.16)."""
    data = bytearray(packed)
    at = data.find(b'f0.npy', data.find(b'PK\1\2')) - 3 - 46
    size = 46 + sum(struct.unpack_from('<HHH', data, at + 28))
    del data[at:at + size]
    end = data.rfind(b'PK\5\6')
    here, entries, length, begin = struct.unpack_from('<HHII', data, end + 8)
    struct.pack_into('<HHII', data, end + 8, here - 1, entries - 1, length - size, begin)
    return bytes(data)


def archives(folder):
    if not have('tar', 'zip', 'gzip', 'bzip2', 'xz'):
        return
    values = cube('<u2')
    inside = folder / 'in'
    inside.mkdir()
    for n, frame in enumerate(values):
        np.save(inside / f'f{n * 7}.npy', frame)  # f0 f7 f14 f21 f28: natural order.
    run('zip', '-q', '-r', folder / 'a.zip', 'in', cwd=folder)
    expect('zip', folder / 'a.zip', values)
    run('zip', '-q', '-0', '-r', folder / 'b.zip', 'in', cwd=folder)
    expect('zip stored', folder / 'b.zip', values)
    run('zip', '-q', '-fz', '-r', folder / 'c.zip', 'in', cwd=folder)
    expect('zip of 64 bits', folder / 'c.zip', values)
    (folder / 'd.zip').write_bytes(run('zip', '-q', '-r', '-', 'in', cwd=folder, stdout=subprocess.PIPE).stdout)
    expect('zip to a pipe', folder / 'd.zip', values)
    run('zip', '-q', '-z', folder / 'a.zip', input=b'PK\5\6 is no end', cwd=folder)
    expect('zip with a comment', folder / 'a.zip', values)
    with open(folder / 'e.zip', 'wb') as file, zipfile.ZipFile(Unseekable(file), 'w') as zip_file:
        for frame in sorted(inside.iterdir()):
            zip_file.write(frame)
    expect('zip stored to a pipe', folder / 'e.zip', values)
    (folder / 'f.zip').write_bytes(without_first_entry((folder / 'b.zip').read_bytes()))
    expect('zip whose list leaves one out', folder / 'f.zip', values[1:])
    (folder / 'g.zip').write_bytes((folder / 'b.zip').read_bytes()[:-40])
    expect('zip without its end', folder / 'g.zip', values)
    # A link to a frame is no frame; the members themselves do not say that it is one.
    (folder / 'in' / 'f3.npy').symlink_to('f7.npy')
    run('zip', '-q', '-y', '-r', folder / 'h.zip', 'in', cwd=folder)
    expect('zip with a link', folder / 'h.zip', values)
    (folder / 'in' / 'f3.npy').unlink()
    (folder / 'in' / 'way').symlink_to('/etc/hostname')
    for ending, option in {'tar': '', 'tar.gz': 'z', 'tar.bz2': 'j', 'tar.xz': 'J'}.items():
        path = folder / ('a.' + ending)
        run('tar', f'-c{option}f', path, '--sort=name', 'in', cwd=folder)
        expect(ending, path, values)
    np.save(folder / 'cube.npy', values)
    run('gzip', '-k', folder / 'cube.npy')
    expect('one file by gzip', folder / 'cube.npy.gz', values)




with tempfile.TemporaryDirectory() as name:
    for part in (numpy_files, gawk_tables, tiff_tools, archives):
        folder = pathlib.Path(name) / part.__name__
        folder.mkdir()
        part(folder)
for failure in failures:
    print('FAILED:', failure)
print(f'{checks} checks, {len(failures)} failures')
sys.exit(1 if failures else 0)
