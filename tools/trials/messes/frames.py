# SPDX-FileCopyrightText: The ohmglow authors
# SPDX-License-Identifier: Apache-2.0
"""Simulated captures, and their frames as cameras and their programs leave them behind."""
import csv
import datetime
import io
import json
import os
import zipfile

import numpy as np
import tifffile
from PIL import Image

DAY = datetime.datetime(2026, 3, 17, 14, 3, 20)


class Capture:
    def __init__(self, sims, name):
        self.folder = os.path.join(sims, name)
        with open(os.path.join(sims, "truth", name + ".truth.json"), encoding="utf-8") as file:
            self.truth = json.load(file)
        camera = self.truth["camera"]
        counts = tifffile.imread(os.path.join(self.folder, "frames.tiff"))
        self.celsius = counts * camera["scale"] + camera["zero"] - 273.15
        times = os.path.join(self.folder, "frames.csv")
        if os.path.exists(times):
            self.times = [float(row["time_s"]) for row in self.table("frames.csv")]
        else:
            self.times = [k / camera["rate"] for k in range(len(counts))]

    def table(self, name):
        with open(os.path.join(self.folder, name), encoding="utf-8") as file:
            return list(csv.DictReader(file))

    def levels(self):
        amps = [0.0] + [level["amps"] for level in self.truth["levels"]]
        end = self.truth["levels"][-1]["end"]
        if end < self.times[-1] - 1:
            amps.append(0.0)
        return " ".join(f"{a:.4g}" for a in amps)


def centikelvin(c):
    return np.round((c.celsius + 273.15) * 100).astype(np.uint16)


def tiff_celsius(c, out):
    tifffile.imwrite(os.path.join(out, "Aufnahme vom Prüfplatz.tif"), c.celsius.astype(np.float32))


def tiff_kelvin(c, out):
    tifffile.imwrite(os.path.join(out, "REC_0042.TIFF"), (c.celsius + 273.15).astype(np.float32))


def tiff_centikelvin(c, out):
    tifffile.imwrite(os.path.join(out, "seq (1).tiff"), centikelvin(c), compression="zlib")


def tiff_one_each(c, out):
    os.mkdir(os.path.join(out, "thermal frames"))
    for k, frame in enumerate(c.celsius.astype(np.float32)):
        tifffile.imwrite(os.path.join(out, "thermal frames", f"T{k}.tiff"), frame)


def png_series(c, out, name="IR_{:05d}.png"):
    for k, frame in enumerate(centikelvin(c)):
        Image.fromarray(frame).save(os.path.join(out, name.format(k + 17)))


def png_stamped(c, out):
    os.mkdir(os.path.join(out, "DCIM"))
    for k, frame in enumerate(centikelvin(c)):
        stamp = DAY + datetime.timedelta(seconds=c.times[k])
        name = stamp.strftime("%Y%m%d_%H%M%S_") + f"{stamp.microsecond // 1000:03d}.png"
        Image.fromarray(frame).save(os.path.join(out, "DCIM", name))


def png_gaps(c, out):
    """Numbers without leading zeros, some missing."""
    kept = [k for k in range(len(c.celsius)) if k % 37 != 30]
    for k in kept:
        Image.fromarray(centikelvin(c)[k]).save(os.path.join(out, f"bild{k}.png"))
    with open(os.path.join(out, "bild zeiten.csv"), "w", encoding="utf-8") as file:
        file.write("index,time_s\n")
        file.writelines(f"{n},{c.times[k]:.4f}\n" for n, k in enumerate(kept))


def npy_celsius(c, out):
    np.save(os.path.join(out, "dump.npy"), c.celsius.astype(np.float32))


def npy_fahrenheit(c, out):
    np.save(os.path.join(out, "recording F.npy"), np.asfortranarray(c.celsius * 1.8 + 32))


def npz_kelvin(c, out):
    np.savez_compressed(os.path.join(out, "session.npz"), frames=(c.celsius + 273.15),
                        t=np.array(c.times))


def pgm_series(c, out):
    os.mkdir(os.path.join(out, "raw"))
    for k, frame in enumerate(centikelvin(c)):
        with open(os.path.join(out, "raw", f"f{k:04d}.pgm"), "wb") as file:
            file.write(b"P5\n# grey\n%d %d\n65535\n" % (frame.shape[1], frame.shape[0]))
            file.write(frame.astype(">u2").tobytes())


def csv_each(c, out, delimiter=",", decimal=".", head=""):
    os.mkdir(os.path.join(out, "csv"))
    for k, frame in enumerate(c.celsius):
        lines = [delimiter.join(f"{v:.2f}".replace(".", decimal) for v in row) for row in frame]
        with open(os.path.join(out, "csv", f"frame_{k:04d}.csv"), "w", encoding="utf-8") as file:
            file.write(head.format(k=k) + "\n".join(lines) + "\n")


def csv_german(c, out):
    csv_each(c, out, ";", ",", "Bild {k}\nTemperatur in °C\n")


def zip_png(c, out):
    with zipfile.ZipFile(os.path.join(out, "export (2).zip"), "w") as archive:
        for k, frame in enumerate(centikelvin(c)):
            data = io.BytesIO()
            Image.fromarray(frame).save(data, "PNG")
            archive.writestr(f"export/img_{k:04d}.png", data.getvalue())


def fits_kelvin(c, out):
    """A cube as FITS 4.0 describes it: 2880-byte blocks, first axis fastest, big-endian."""
    cube = (c.celsius + 273.15).astype(">f4")
    cards = ["SIMPLE  =                    T", "BITPIX  =                  -32",
             "NAXIS   =                    3", f"NAXIS1  = {cube.shape[2]:20d}",
             f"NAXIS2  = {cube.shape[1]:20d}", f"NAXIS3  = {cube.shape[0]:20d}",
             "BUNIT   = 'K       '", "ROWORDER= 'TOP-DOWN'", "END"]
    head = "".join(card.ljust(80) for card in cards)
    data = cube.tobytes()
    with open(os.path.join(out, "board.fits"), "wb") as file:
        file.write(head.ljust(-(-len(head) // 2880) * 2880).encode())
        file.write(data + bytes(-len(data) % 2880))


def raw_named(c, out):
    height, width = c.celsius.shape[1:]
    centikelvin(c).astype("<u2").tofile(os.path.join(out, f"stream_{width}x{height}.bin"))


def raw_unnamed(c, out):
    centikelvin(c).astype("<u2").tofile(os.path.join(out, "stream.bin"))


def private_counts(c, out):
    counts = np.round(7312 + 41.3 * (c.celsius - 20)).astype(np.uint16)
    tifffile.imwrite(os.path.join(out, "sensor.tiff"), counts)
