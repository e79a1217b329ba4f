#!/usr/bin/env python3
# SPDX-FileCopyrightText: The ohmglow authors
# SPDX-License-Identifier: Apache-2.0
"""One small scene in every format of frames: the same answer, but for the format's rounding.

formats_test.py PROGRAM
The scene: an even board with a pattern, one place that warms with the square of the current, noise
of 20 mK; values are whole hundredths of a kelvin, which every format here can hold.
"""
import json
import pathlib
import struct
import subprocess
import sys
import tempfile
import zlib

try:
    import numpy as np
except ImportError:
    print('SKIPPED: NumPy is absent')
    sys.exit(77)

RATE_HZ = 8
WIDTH, HEIGHT, COUNT = 64, 48, 160
STEPS = [(0, 0.0), (4, 1.0), (8, 0.0), (12, 1.0), (16, 0.0)]  # Seconds, amps.


def scene():
    """Counts of 0.01 K."""
    random = np.random.default_rng(5)
    y, x = np.mgrid[0:HEIGHT, 0:WIDTH]
    board = 296 + random.normal(0, 0.4, (HEIGHT // 4, WIDTH // 4)).repeat(4, 0).repeat(4, 1)
    spot = 2.5 * np.exp(-((x - 38) ** 2 + (y - 21) ** 2) / (2 * 2.2 ** 2))
    frames, warm = [], 0.0
    for k in range(COUNT):
        amps = [a for t, a in STEPS if t <= k / RATE_HZ][-1]
        warm += (amps ** 2 - warm) * (1 - np.exp(-1 / (RATE_HZ * 1.5)))
        frames.append(board + warm * spot + random.normal(0, 0.02, board.shape))
    return np.round(np.array(frames) * 100).astype(np.uint16)


def tiff(pages, file):
    """TIFF 6.0, sections 2 and 8: little-endian, one strip a page, without compression."""
    bits, sample = (32, 3) if pages.dtype == np.float32 else (16, 1)
    out = bytearray(b'II*\0' + struct.pack('<I', 0))
    link = 4
    for page in pages:
        at = len(out)
        data = page.astype(page.dtype.newbyteorder('<')).tobytes()
        out += data
        struct.pack_into('<I', out, link, len(out))
        entries = [(256, page.shape[1]), (257, page.shape[0]), (258, bits), (259, 1), (262, 1),
                   (273, at), (277, 1), (278, page.shape[0]), (279, len(data)), (339, sample)]
        out += struct.pack('<H', len(entries))
        for tag, value in entries:
            out += struct.pack('<HHII', tag, 4, 1, value)
        link = len(out)
        out += struct.pack('<I', 0)
    file.write_bytes(out)


def png(page, file):
    """PNG (ISO/IEC 15948), sections 5 and 11: grey of 16 bits, no filter."""
    def chunk(name, data):
        return struct.pack('>I', len(data)) + name + data + struct.pack('>I', zlib.crc32(name + data))
    rows = b''.join(b'\0' + row.astype('>u2').tobytes() for row in page)
    head = struct.pack('>IIBBBBB', page.shape[1], page.shape[0], 16, 0, 0, 0, 0)
    file.write_bytes(b'\x89PNG\r\n\x1a\n' + chunk(b'IHDR', head) +
                     chunk(b'IDAT', zlib.compress(rows, 1)) + chunk(b'IEND', b''))


def fits(values, file):
    """FITS 4.0, sections 3 and 4: blocks of 2880 bytes, the first axis fastest, big-endian."""
    cards = ['SIMPLE  =                    T', 'BITPIX  =                  -32',
             'NAXIS   =                    3'] + [
                 f'NAXIS{n + 1}  = {values.shape[2 - n]:20d}' for n in range(3)]
    cards += ["ROWORDER= 'TOP-DOWN'", 'END']
    head = ''.join(card.ljust(80) for card in cards).encode()
    data = values.astype('>f4').tobytes()
    file.write_bytes(head.ljust(-(-len(head) // 2880) * 2880) + data + bytes(-len(data) % 2880))


def write_formats(counts, folder):
    """Frames in each format; gives the lines under [frames] for each."""
    kelvin = (counts / 100.0).astype(np.float32)
    hundredths = 'scale = 0.01\nzero = 0\n'
    tiff(kelvin, folder / 'float.tiff')
    tiff(counts, folder / 'counts.tiff')
    (folder / 'png').mkdir()
    (folder / 'csv').mkdir()
    for k, page in enumerate(counts):
        png(page, folder / 'png' / f'f{k:03}.png')
        rows = [';'.join(f'{v / 100 - 273.15:.2f}'.replace('.', ',') for v in row) for row in page.tolist()]
        (folder / 'csv' / f'f{k:03}.csv').write_text('\n'.join(rows) + '\n')
    np.save(folder / 'values.npy', kelvin)
    np.savez_compressed(folder / 'values.npz', frames=np.asfortranarray(kelvin))
    fits(kelvin, folder / 'cube.fits')
    counts.astype('<u2').tofile(folder / 'stream.raw')
    return {'TIFF, counts': 'source = counts.tiff\n' + hundredths,
            'TIFF, float': 'source = float.tiff\nunit = kelvin\n',
            'PNG': 'source = png\n' + hundredths,
            'NPY': 'source = values.npy\nunit = kelvin\n',
            'NPZ': 'source = values.npz\nunit = kelvin\n',
            'FITS': 'source = cube.fits\nunit = kelvin\n',
            'raw': f'source = stream.raw\nwidth_px = {WIDTH}\nheight_px = {HEIGHT}\n' + hundredths,
            'CSV': 'source = csv\nunit = celsius\n'}


def locate(program, folder, frames):
    (folder / 'case.ini').write_text(
        f'[frames]\n{frames}rate_hz = {RATE_HZ}\n[supply]\nlog = supply.csv\nclock_offset_s = 0\n')
    done = subprocess.run([program, 'locate', folder / 'case.ini', '--json', '-', '--threads', '1'],
                          capture_output=True, text=True, check=False)
    return json.loads(done.stdout) if done.returncode == 0 else done.stderr


def differences(got, wanted):
    """What is not the same within the rounding of 32-bit floats."""
    if isinstance(got, str):
        return [got.strip()]
    found = []
    if got['verdict'] != wanted['verdict'] or len(got['candidates']) != len(wanted['candidates']):
        found.append(f'{got["verdict"]} with {len(got["candidates"])} places')
    for a, b in zip(got['candidates'][:1], wanted['candidates'][:1]):
        for key in ('frame_x', 'frame_y', 'power_w', 'confidence', 'snr'):
            # The noise is a robust spread of values on a grid: their last bit moves it a little.
            within = 5e-3 if key == 'snr' else 1e-3
            if abs(a[key] - b[key]) > within * max(1, abs(b[key])):
                found.append(f'{key} {a[key]} for {b[key]}')
    return found


def main():
    failures = []
    with tempfile.TemporaryDirectory() as name:
        folder = pathlib.Path(name)
        log = 'time_s,volts,amps\n'
        for k in range(COUNT):
            amps = [a for t, a in STEPS if t <= k / RATE_HZ][-1]
            log += f'{k / RATE_HZ},{0.3 * amps},{amps}\n'
        (folder / 'supply.csv').write_text(log)
        formats = write_formats(scene(), folder)
        wanted = locate(sys.argv[1], folder, formats['TIFF, counts'])
        if isinstance(wanted, str):
            print(wanted)
            return 1
        first = wanted['candidates'][0]
        # The scene's own truth, so that all of them cannot be wrong alike.
        if wanted['verdict'] != 'found' or abs(first['frame_x'] - 38) > 0.3 or abs(first['frame_y'] - 21) > 0.3:
            failures.append(f'TIFF, counts: {wanted["verdict"]} at {first["frame_x"]}, {first["frame_y"]}')
        for name, frames in formats.items():
            for difference in differences(locate(sys.argv[1], folder, frames), wanted):
                failures.append(f'{name}: {difference}')
    for failure in failures:
        print('FAILED:', failure)
    print(f'{len(formats)} formats, {len(failures)} failures')
    return 1 if failures else 0


if __name__ == '__main__':
    sys.exit(main())
