# SPDX-FileCopyrightText: The ohmglow authors
# SPDX-License-Identifier: Apache-2.0
"""Writes a few small files for each fuzz target: seeds.py SAMPLE_CASE FOLDER.

Small, as the fuzzer changes a byte at a time: of the sample case only the tables are taken.
"""
import bz2
import gzip
import io
import lzma
import pathlib
import struct
import sys
import tarfile
import zipfile
import zlib

WIDTH, HEIGHT = 8, 6
PIXELS = WIDTH * HEIGHT


def counts(code: str, pages: int = 1, page: int = 0) -> bytes:
    """Pages of a ramp; `code` is one of the struct module, with its byte order."""
    values = [29000 + (page * PIXELS + i) % 50 for i in range(pages * PIXELS)]
    return struct.pack(f"{code[0]}{len(values)}{code[1]}", *values)


def tiff(order: str, pages: int, bits: int) -> bytes:
    """Grey pages, one strip each: TIFF 6.0, sections 2 to 4."""
    data = bytearray((b"II" if order == "<" else b"MM") + struct.pack(order + "HI", 42, 0))
    link = 4
    for page in range(pages):
        strip = counts(order + ("H" if bits == 16 else "f"), 1, page)
        at = len(data)
        data += strip
        struct.pack_into(order + "I", data, link, len(data))
        tags = [(256, 3, WIDTH), (257, 3, HEIGHT), (258, 3, bits), (259, 3, 1), (262, 3, 1),
                (273, 4, at), (277, 3, 1), (278, 3, HEIGHT), (279, 4, len(strip)),
                (339, 3, 1 if bits == 16 else 3)]
        data += struct.pack(order + "H", len(tags))
        for tag, kind, value in tags:
            field = struct.pack(order + ("HH" if kind == 3 else "I"), *([value, 0] if kind == 3 else [value]))
            data += struct.pack(order + "HHI", tag, kind, 1) + field
        link = len(data)
        data += bytes(4)
    return bytes(data)


def png(bits: int, colour: int) -> bytes:
    """PNG Specification 1.2, 3.2 and 4.1."""
    def chunk(name: bytes, body: bytes) -> bytes:
        return struct.pack(">I", len(body)) + name + body + struct.pack(">I", zlib.crc32(name + body))
    samples = {0: 1, 2: 3, 3: 1, 6: 4}[colour]
    row = bytes(1) + bytes(range(WIDTH * samples * bits // 8))
    palette = chunk(b"PLTE", bytes(range(192)) + bytes(range(192))) if colour == 3 else b""
    return (b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", struct.pack(">IIBBBBB", WIDTH, HEIGHT, bits, colour, 0, 0, 0))
            + palette + chunk(b"IDAT", zlib.compress(row * HEIGHT)) + chunk(b"IEND", b""))


def fits(bitpix: int) -> bytes:
    """FITS Standard 4.0, 3 and 4."""
    cards = ["SIMPLE  =                    T", f"BITPIX  = {bitpix:20d}", "NAXIS   =                    3",
             f"NAXIS1  = {WIDTH:20d}", f"NAXIS2  = {HEIGHT:20d}", "NAXIS3  =                    2",
             "BZERO   =                32768", "BSCALE  =                    1", "END"]
    header = "".join(card.ljust(80) for card in cards).ljust(2880).encode()
    body = counts(">h" if bitpix == 16 else ">f", 2)
    return header + body.ljust(-(-len(body) // 2880) * 2880, b"\0")


def npy(kind: str, shape: tuple, data: bytes, fortran: bool = False) -> bytes:
    """NPY format 1.0, as NumPy documents it."""
    header = f"{{'descr': '{kind}', 'fortran_order': {fortran}, 'shape': {shape}, }}".ljust(117) + "\n"
    return b"\x93NUMPY\x01\0" + struct.pack("<H", len(header)) + header.encode() + data


def packed() -> dict[str, bytes]:
    members = {f"f{i}.pgm": b"P5\n8 6\n65535\n" + counts(">H", 1, i) for i in range(2)}
    files = {}
    for name, mode in (("stored.zip", zipfile.ZIP_STORED), ("packed.zip", zipfile.ZIP_DEFLATED)):
        out = io.BytesIO()
        with zipfile.ZipFile(out, "w", mode) as archive:
            for member, data in members.items():
                archive.writestr(zipfile.ZipInfo(member), data)
        files[name] = out.getvalue()
    out = io.BytesIO()
    with tarfile.open(fileobj=out, mode="w") as archive:
        for member, data in members.items():
            info = tarfile.TarInfo(member)
            info.size = len(data)
            archive.addfile(info, io.BytesIO(data))
    files["plain.tar"] = out.getvalue()[:4096]
    files["gz"] = gzip.compress(out.getvalue(), mtime=0)
    files["bz2"] = bz2.compress(out.getvalue())
    files["xz"] = lzma.compress(out.getvalue())
    arrays = io.BytesIO()
    with zipfile.ZipFile(arrays, "w") as archive:
        archive.writestr(zipfile.ZipInfo("frames.npy"), npy("<u2", (3, 6, 8), counts("<H", 3)))
    files["npz"] = arrays.getvalue()
    return files


# Exif says that the picture lies on its side; all else is the smallest baseline JPEG of 8 x 8
# grey pixels, ITU-T T.81, annex B, with tables of one code each.
def jpeg() -> bytes:
    exif = b"Exif\0\0II*\0\x08\0\0\0\x01\0\x12\x01\x03\0\x01\0\0\0\x06\0\0\0\0\0\0\0"
    def segment(marker: int, body: bytes) -> bytes:
        return struct.pack(">BBH", 0xFF, marker, len(body) + 2) + body
    one_code = bytes([1] + [0] * 15 + [0])
    return (b"\xff\xd8" + segment(0xE1, exif) + segment(0xDB, bytes(1) + bytes([1] * 64))
            + segment(0xC0, b"\x08\0\x08\0\x08\x01\x01\x11\0") + segment(0xC4, b"\0" + one_code)
            + segment(0xC4, b"\x10" + one_code) + segment(0xDA, b"\x01\x01\0\0\x3f\0") + b"\x3f\xff\xd9")


def logs() -> dict[str, str]:
    return {
        "plain": "time_s,volts,amps\n0,0,0\n0.1,1,0.5\n0.2,1,0.5\n",
        "local": "Messung 7\nZeit;Spannung (V);Strom (mA)\n12:00:00;0,0;0,0\n12:00:01;1,0;500,5\n",
        "date": "date,time,current [A]\n2024-05-06,23:59:59.5,0.1\n2024-05-07,00:00:00.5,0.2\n",
        "iso": "timestamp\tW\tvolts\n2024-05-06T10:00:00Z\t0.5\t1\n2024-05-06T10:00:01Z\t0.6\t1\n",
        "ms": "ms amps\n1714989600000 0.1\n1714989600100 0.2\n",
        "channels": "t,ch1 volts,ch1 amps,ch2 volts,ch2 amps\n0,1,0.1,0,0\n1,1,0.2,0,0\n",
    }


def seeds(sample: pathlib.Path) -> dict[str, dict[str, bytes]]:
    text = {name: body.encode() for name, body in logs().items()}
    text["utf16"] = logs()["local"].encode("utf-16")
    start = lambda name: (sample / name).read_bytes()[:600]
    text["sample"] = start("supply.csv")
    parts = {"sample": start("parts.csv"),
             "list": b"Ref;Package;X (mil);Y (mil);Rotation;Side\nR1;0402;100;200;90;Top\nU1;QFP-48;10,5;20;0;B\n",
             "sizes": b"ref,x_mm,y_mm,width_mm,height_mm\nR1,1,2,1,0.5\n"}
    first = lambda files: {name: b"\0" + body for name, body in files.items()}
    return {
        "tiff": {"le": tiff("<", 2, 16), "be": tiff(">", 3, 16), "float": tiff("<", 1, 32)},
        "png": {"16": png(16, 0), "8": png(8, 0), "rgb": png(8, 2), "palette": png(8, 3)},
        "pnm": {"p5": b"P5\n8 6\n65535\n" + counts(">H"), "p2": b"P2\n# x\n3 2\n99\n1 2 3\n4 5 6\n",
                "two": 2 * (b"P5 8 6 255\n" + bytes(48)), "pf": b"Pf\n8 6\n-1.0\n" + counts("<f")},
        "npy": {"u2": npy("<u2", (3, 6, 8), counts("<H", 3)), "f8": npy(">f8", (3, 6, 8), counts(">d", 3)),
                "fortran": npy("<u2", (3, 6, 8), counts("<H", 3), True), "flat": npy("<i4", (6, 8), counts("<i"))},
        "fits": {"16": fits(16), "float": fits(-32)},
        "archive": packed(),
        "numbers": {"one": b"20.1;20.2;20.3\n20.4;20.5;20.6\n", "comma": b"Frame 1\n20,1\t20,2\n20,3\t20,4\n\nFrame 2\n1\t2\n3\t4\n",
                    "units": "°C\n1 2 3\n4 5 6\n".encode(), "sample": start("frames.csv")},
        "raw": {"two": b"\x05" + bytes(4) + counts("<H", 2)},
        "photo": {"png": png(8, 2), "alpha": png(8, 6), "tiff": tiff("<", 1, 16), "jpeg": jpeg()},
        "log": first(text),
        "table": text,
        "parts": first(parts),
        "ini": {"sample": start("case.ini"),
                "frames": b"[frames]\nsource = a.raw\nwidth_px = 8\nheight_px = 6\ntype = u16\ncrop = 0 0 4 4\n"
                          b"[supply]\nlog = l.csv\ncolumns = time=1 amps=3\ndelimiter = semicolon\nrate_hz = 10 ; x\n"},
        "levels": {"order": b"0 0.5 0", "about": b"0@0, 0.5@6 0@12"},
        "steps": {"all": b"time_s,amps,within_s\n0,0,1\n6,0.5,\n", "amps": b"amps\n0\n\"0.5\"\n0\n"},
    }


def main() -> None:
    for target, files in seeds(pathlib.Path(sys.argv[1])).items():
        folder = pathlib.Path(sys.argv[2]) / target
        folder.mkdir(parents=True, exist_ok=True)
        for name, data in files.items():
            (folder / name).write_bytes(data)


main()
