# SPDX-FileCopyrightText: The ohmglow authors
# SPDX-License-Identifier: Apache-2.0
"""Folders of other countries, cameras and assembly houses than those of frames.py and tables.py."""
import datetime
import io
import os
import tarfile
import zipfile

import numpy as np
import tifffile
from PIL import Image

from messes.frames import DAY, centikelvin
from messes.tables import body, comma, placement, rows, write

# --- Frames ----------------------------------------------------------------------------------------


def tiff_big(c, out):
    """BigTIFF in tiles, big-endian, whole numbers of tenths of a millikelvin in 32 bits."""
    with tifffile.TiffWriter(os.path.join(out, "Inspelning.tif"), bigtiff=True,
                             byteorder=">") as file:
        for frame in np.round((c.celsius + 273.15) * 100).astype(np.uint16):
            file.write(frame, tile=(64, 64), contiguous=False)


def zip_nested(c, out):
    """Two folders deep, beside a preview and a text, names in another script."""
    with zipfile.ZipFile(os.path.join(out, "撮影.zip"), "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("撮影/メモ.txt", "基板 7\n")
        for k, frame in enumerate(centikelvin(c)):
            data = io.BytesIO()
            Image.fromarray(frame).save(data, "PNG")
            archive.writestr(f"撮影/フレーム/温度_{k}.png", data.getvalue())


def pgm_tar(c, out):
    with tarfile.open(os.path.join(out, "klatki.tar.gz"), "w:gz", compresslevel=1) as archive:
        for k, frame in enumerate(centikelvin(c)):
            data = b"P5 %d %d 65535\n" % (frame.shape[1], frame.shape[0])
            data += frame.astype(">u2").tobytes()
            member = tarfile.TarInfo(f"./klatki/{k}.pgm")
            member.size = len(data)
            archive.addfile(member, io.BytesIO(data))


def tables_fahrenheit(c, out):
    """A table a frame, with the settings above and a number before each row."""
    os.mkdir(os.path.join(out, "Export"))
    for k, frame in enumerate(c.celsius * 1.8 + 32):
        head = "File:\tREC1\nEmissivity:\t0.93\nDistance:\t0.4\nUnit:\t°F\n\n"
        text = "\t" + "\t".join(str(x) for x in range(frame.shape[1])) + "\n"
        text += "".join(f"{y}\t" + "\t".join(f"{v:.2f}" for v in row) + "\n"
                        for y, row in enumerate(frame))
        write(out, f"Export/REC1_{k + 1}.txt", head + text)


def csv_in_a_row(c, out):
    """All frames in one file, each under a line with its number and time."""
    with open(os.path.join(out, "todo.csv"), "w", encoding="utf-8") as file:
        for k, frame in enumerate(c.celsius):
            file.write(f"Frame {k + 1}, t = {c.times[k]:.3f} s\n")
            file.writelines(",".join(f"{v:.2f}" for v in row) + "\n" for row in frame)
            file.write("\n")


def fits_each(c, out):
    """A file a frame: 16 bits, signed with a zero as FITS 4.0 has it, in 0.01 K."""
    os.mkdir(os.path.join(out, "fits"))
    for k, frame in enumerate(centikelvin(c)):
        cards = ["SIMPLE  =                    T", "BITPIX  =                   16",
                 "NAXIS   =                    2", f"NAXIS1  = {frame.shape[1]:20d}",
                 f"NAXIS2  = {frame.shape[0]:20d}", "BZERO   =                32768",
                 "BSCALE  =                    1", "ROWORDER= 'TOP-DOWN'", "END"]
        data = (frame.astype(np.int32) - 32768).astype(">i2").tobytes()
        with open(os.path.join(out, "fits", f"q{k:03d}.fit"), "wb") as file:
            file.write("".join(card.ljust(80) for card in cards).ljust(2880).encode())
            file.write(data + bytes(-len(data) % 2880))


def tiff_and_jpg(c, out):
    """Values and beside each a small picture of the same name, as many cameras write them."""
    low, high = c.celsius.min(), c.celsius.max()
    for k, frame in enumerate(c.celsius.astype(np.float32)):
        tifffile.imwrite(os.path.join(out, f"SNAP{k:04d}.tif"), frame)
        grey = ((frame - low) / (high - low) * 255).astype(np.uint8)
        Image.fromarray(np.stack([grey, grey // 2, 255 - grey], axis=2)).save(
            os.path.join(out, f"SNAP{k:04d}.jpg"))


# --- Logs ------------------------------------------------------------------------------------------


def log_swedish(c, out):
    """A clock with dots, and the unit behind each value."""
    text = "Tid;Spänning;Ström\n"
    for t, v, a in rows(c):
        at = (DAY + datetime.timedelta(seconds=t)).strftime("%H.%M.%S.%f")[:-4]
        text += f"{at};{comma(v, 3)} V;{comma(a * 1000, 1)} mA\n"
    write(out, "nätaggregat.csv", text)


def log_japanese(c, out):
    text = "経過時間(秒),電圧(V),電流(A)\r\n"
    text += "".join(f"{t:.2f},{v:.3f},{a:.4f}\r\n" for t, v, a in rows(c))
    write(out, "電源ログ.csv", text, "shift_jis")


def log_chinese(c, out):
    text = "时间(ms),电压(V),电流(mA),功率(W)\r\n"
    text += "".join(f"{t * 1000:.0f},{v:.3f},{a * 1000:.1f},{v * a:.4f}\r\n" for t, v, a in rows(c))
    write(out, "电源记录.csv", text, "gbk")


def log_russian(c, out):
    text = "Время, с;Напряжение, В;Ток, А\r\n"
    text += "".join(f"{comma(t, 2)};{comma(v, 3)};{comma(a, 4)}\r\n" for t, v, a in rows(c))
    write(out, "Журнал источника.csv", text, "cp1251")


def log_polish(c, out):
    text = "Data i czas\tNapięcie [V]\tPrąd [mA]\tStan\r\n"
    for t, v, a in rows(c):
        at = DAY + datetime.timedelta(seconds=t)
        text += f"{at:%d.%m.%Y %H:%M:%S},{at.microsecond // 1000:03d}\t{comma(v, 3)}\t"
        text += f"{comma(a * 1000, 1)}\twł.\r\n"
    write(out, "zasilacz.txt", text, "cp1250")


def log_us(c, out):
    """Twelve hours and a half of the day."""
    text = "Date,Time,Voltage (V),Current (A)\n"
    for t, v, a in rows(c):
        at = datetime.datetime(2026, 3, 17, 11, 59, 50) + datetime.timedelta(seconds=t)
        hour = (at.hour - 1) % 12 + 1
        half = "PM" if at.hour >= 12 else "AM"
        text += f"{at:%m/%d/%Y},{hour}:{at:%M:%S}.{at.microsecond // 1000:03d} {half},{v:.3f},{a:.4f}\n"
    write(out, "psu_log.csv", text)


def log_portuguese(c, out):
    text = "sep=;\nTempo (s);Tensão de saída (V);Corrente de saída (A);Modo\n"
    text += "".join(f"{comma(t, 2)};{comma(v, 3)};{comma(a, 4)};CC\n" for t, v, a in rows(c))
    write(out, "fonte.csv", text, "utf-8-sig")


def log_two_heads(c, out):
    """Names in one row, units in the next."""
    text = "Time,Voltage,Current\nms,V,mA\n"
    text += "".join(f"{t * 1000:.0f},{v:.3f},{a * 1000:.1f}\n" for t, v, a in rows(c))
    write(out, "capture.log", text)


def log_lines(c, out):
    """What a script printed: a name before each value."""
    text = "# started by hand\n"
    for t, v, a in rows(c):
        text += f"t={t:.2f}s V={v:.3f} I={a:.4f}\n"
    write(out, "console.txt", text)


# --- Placement lists -------------------------------------------------------------------------------


def parts_chinese(c, out):
    placement(c, out, "坐标文件.csv", "位号,封装,中心X(mm),中心Y(mm),层,旋转角度\n",
              lambda p, x, y: f'{p["ref"]},{body(p)[0]},{x:.3f},{y:.3f},'
              f'{"顶层" if p["side"] == "top" else "底层"},{body(p)[1]}\n', "gbk")


def parts_inch(c, out):
    placement(c, out, "centroid.csv", "RefDes,Package,X (in),Y (in),Rotation,Side\n",
              lambda p, x, y: f'{p["ref"]},{body(p)[0]},{x / 25.4:.5f},{y / 25.4:.5f},'
              f'{body(p)[1]},{"TOP" if p["side"] == "top" else "BOT"}\n')


def parts_italian(c, out):
    """The bottom as seen from below, its x negated."""
    placement(c, out, "montaggio.csv", "Riferimento;Pos X;Pos Y;Rotazione;Lato;Contenitore\n",
              lambda p, x, y: f'{p["ref"]};{comma(x if p["side"] == "top" else -x, 3)};'
              f'{comma(y, 3)};{body(p)[1]};{"Sopra" if p["side"] == "top" else "Sotto"};'
              f'{body(p)[0]}\n')
