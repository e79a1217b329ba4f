#!/usr/bin/python3
# SPDX-FileCopyrightText: The ohmglow authors
# SPDX-License-Identifier: Apache-2.0
"""Motion errors of ohmglow beside OpenCV's general-purpose registration and the Cramer-Rao bound.

Usage: registration_table.py OHMGLOW TRUTH_DIR CASE_DIR...     (needs python3-opencv, python3-numpy)

A row a case, errors as rms over the frame against TRUTH_DIR/CASE.truth.json, median / 95 % over every
fourth frame:
  ohmglow   motion.csv of `ohmglow align`
  phase     cv.phaseCorrelate of each frame with the reference frame, Hanning window (shift alone)
  ECC       cv.findTransformECC, Euclidean, Gaussian of 5 px, started from the frame before
            (Evangelidis, Psarakis, IEEE Trans. PAMI 30 (2008) 1858-1865)
  bound     Cramer-Rao for shift, rotation and scale of one frame in white noise, rms over the frame,
            from the slopes of the registered mean (Robinson, Milanfar, IEEE Trans. Image Process. 13
            (2004) 1185-1199); the slopes' own noise is taken out
"""
import configparser
import csv
import json
import pathlib
import subprocess
import sys
import tempfile

import cv2
import numpy as np


def matrix(dx, dy, deg, scale, size):
    """3 x 3 of a similarity about the frame's centre (motion.csv)."""
    w, h = size
    cx, cy = (w - 1) / 2, (h - 1) / 2
    c, s = scale * np.cos(np.radians(deg)), scale * np.sin(np.radians(deg))
    return np.array([[c, -s, cx + dx - c * cx + s * cy], [s, c, cy + dy - s * cx - c * cy], [0, 0, 1]])


def distance(a, b, size):
    """Rms over the frame of what two maps do to a pixel."""
    w, h = size
    x, y = np.meshgrid(np.linspace(0.1, 0.9, 5) * w, np.linspace(0.1, 0.9, 5) * h)
    p = np.stack([x.ravel(), y.ravel(), np.ones(25)])
    d = [m @ p for m in (a, b)]
    d = d[0][:2] / d[0][2] - d[1][:2] / d[1][2]
    return float(np.sqrt((d ** 2).sum(0).mean()))


def bound_px(static_k, noise_k, frames):
    """Root of the trace of the inverse information of (dx, dy, turn, growth)."""
    p = static_k[4:-4, 4:-4].astype(float)
    gy, gx = np.gradient(p)
    h, w = static_k.shape
    radius = np.sqrt((w * w + h * h - 2) / 12)
    y, x = np.mgrid[4:h - 4, 4:w - 4]
    x, y = x - (w - 1) / 2, y - (h - 1) / 2
    j = np.stack([gx, gy, (gy * x - gx * y) / radius, (gx * x + gy * y) / radius]).reshape(4, -1)
    info = j @ j.T
    # A central difference of independent noise has half its variance.
    alien = 0.5 * noise_k ** 2 / frames * p.size
    info -= np.diag([alien, alien, alien, alien])
    values = np.linalg.eigvalsh(info)
    if values[0] <= 0:
        return float('nan')
    return noise_k * float(np.sqrt(np.trace(np.linalg.inv(info))))


def read_frames(folder, case):
    name = folder / case['frames']['source']
    ok, pages = cv2.imreadmulti(str(name), flags=cv2.IMREAD_UNCHANGED)
    if not ok:
        sys.exit(f'{name}: cannot be read as a TIFF series')
    return [p.astype(np.float32) for p in pages]


def phase(frames, reference, wanted, size):
    window = cv2.createHanningWindow(size, cv2.CV_32F)
    for n in wanted:
        (dx, dy), _ = cv2.phaseCorrelate(reference, frames[n], window)
        yield matrix(dx, dy, 0, 1, size)


def ecc(frames, reference, wanted):
    warp = np.eye(2, 3, dtype=np.float32)
    stop = (cv2.TERM_CRITERIA_EPS | cv2.TERM_CRITERIA_COUNT, 50, 1e-5)
    for n in wanted:
        try:
            _, found = cv2.findTransformECC(reference, frames[n], warp.copy(), cv2.MOTION_EUCLIDEAN, stop, None, 5)
            warp = found
        except cv2.error:
            pass  # It did not converge: the last one is what it leaves its user with.
        yield np.vstack([warp, [0, 0, 1]])


def text(errors):
    return f'{np.median(errors):.3f} / {np.quantile(errors, 0.95):.3f}'


def row(program, truth_dir, folder):
    case = configparser.ConfigParser(inline_comment_prefixes=(';',))
    case.read_string('[case]\n' + (folder / 'case.ini').read_text())  # Keys stand before the first section.
    truth = json.loads((truth_dir / f'{folder.name}.truth.json').read_text())
    frames = read_frames(folder, case)
    size = frames[0].shape[::-1]
    with tempfile.TemporaryDirectory() as out:
        subprocess.run([program, 'align', folder / 'case.ini', '--out', out], check=True, stdout=subprocess.DEVNULL)
        motion = list(csv.DictReader(open(f'{out}/motion.csv')))
        found = json.loads(pathlib.Path(f'{out}/align.json').read_text())
        static_k = cv2.imread(f'{out}/static.tiff', cv2.IMREAD_UNCHANGED)
    used = [int(m['index']) for m in motion if m['used'] == '1']
    ref = found['frames']['reference']
    wanted = [n for n in used[::4] if n != ref]
    shifts = np.array(truth['shifts'], float)
    back = np.linalg.inv(matrix(*shifts[ref][-4:], size))
    true = [matrix(*shifts[n][-4:], size) @ back for n in wanted]
    own = [matrix(*(float(motion[n][k]) for k in ('dx_px', 'dy_px', 'rotation_deg', 'scale')), size) for n in wanted]
    reference = frames[ref]
    errors = [[distance(a, b, size) for a, b in zip(maps, true)]
              for maps in (own, phase(frames, reference, wanted, size), ecc(frames, reference, wanted))]
    limit = bound_px(static_k, found['motion']['noise_k'], len(used))
    ratio = np.median(errors[0]) / limit
    rest = [distance(np.eye(3), t, size) for t in true]
    return (f"| {folder.name} | {truth.get('motion', '')} {np.median(rest):.2f} | " + ' | '.join(text(e) for e in errors) +
            f' | {limit:.4f} | {ratio:.1f} |')


def main():
    if len(sys.argv) < 4:
        sys.exit(__doc__)
    print('| case | motion, median [px] | ohmglow | phase correlation | ECC | bound | ohmglow / bound |')
    print('| --- | --- | --- | --- | --- | --- | --- |')
    for folder in sys.argv[3:]:
        print(row(sys.argv[1], pathlib.Path(sys.argv[2]), pathlib.Path(folder)), flush=True)


main()
