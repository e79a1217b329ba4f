# SPDX-FileCopyrightText: The ohmglow authors
# SPDX-License-Identifier: Apache-2.0
"""Logs, placement lists, photos and whatever else lies in such a folder."""
import datetime
import os
import shutil

from PIL import Image

from messes.frames import DAY


def write(out, name, text, encoding="utf-8"):
    with open(os.path.join(out, name), "w", encoding=encoding, newline="") as file:
        file.write(text)


def rows(c):
    return [(float(r["time_s"]), float(r["volts"]), float(r["amps"])) for r in c.table("supply.csv")]


def comma(value, digits):
    return f"{value:.{digits}f}".replace(".", ",")


def log_plain(c, out):
    shutil.copy(os.path.join(c.folder, "supply.csv"), os.path.join(out, "PSU log.csv"))


def log_german(c, out):
    text = "Messprotokoll Netzteil\r\nKanal 1\r\n\r\nZeit (s);Spannung (V);Strom (mA)\r\n"
    text += "".join(f"{comma(t, 2)};{comma(v, 2)};{comma(a * 1000, 1)}\r\n" for t, v, a in rows(c))
    write(out, "Netzgerät Protokoll.csv", text, "latin-1")


def log_french(c, out):
    text = "Heure;Tension (V);Courant (A)\n"
    for t, v, a in rows(c):
        at = (DAY + datetime.timedelta(seconds=t)).strftime("%H:%M:%S.%f")[:-4].replace(".", ",")
        text += f"{at};{comma(v, 3)};{comma(a, 4)}\n"
    write(out, "alimentation.csv", text)


def log_spanish(c, out):
    text = "Tiempo [s]\tTensión [mV]\tCorriente [mA]\n"
    text += "".join(f"{t:.2f}\t{v * 1000:.0f}\t{a * 1000:.1f}\n" for t, v, a in rows(c))
    write(out, "fuente.txt", text)


def log_iso(c, out):
    text = "timestamp,voltage,current,mode\n"
    for t, v, a in rows(c):
        at = DAY + datetime.timedelta(seconds=t)
        text += f"{at.isoformat(timespec='milliseconds')}Z,{v:.3f},{a:.4f},CC\n"
    write(out, "log_20260317.csv", text)


def log_utf16(c, out):
    text = "Time (ms)\tVoltage (V)\tCurrent (A)\r\n"
    text += "".join(f"{t * 1000:.0f}\t{v:.3f}\t{a:.4f}\r\n" for t, v, a in rows(c))
    write(out, "Channel A.txt", text, "utf-16")


def log_watts(c, out):
    text = "Time/s,U/V,P/W\n" + "".join(f"{t:.2f},{v:.3f},{v * a:.5f}\n" for t, v, a in rows(c))
    write(out, "power.csv", text)


def log_midnight(c, out):
    start = datetime.datetime(2026, 3, 17, 23, 59, 50)
    text = "Date,Time,Set V,Volts,Amps\n"
    for t, v, a in rows(c):
        at = start + datetime.timedelta(seconds=t)
        text += f"{at:%Y-%m-%d},{at:%H:%M:%S.%f},5.00,{v:.3f},{a:.4f}\n"
    write(out, "night run.csv", text)


def log_channels(c, out):
    text = "t,CH1 V,CH1 A,CH2 V,CH2 A,temp\n"
    text += "".join(f"{t:.2f},{v:.3f},{a:.4f},0.000,0.0000,31.2\n" for t, v, a in rows(c))
    write(out, "two channels.csv", text)


def log_two_live(c, out):
    text = "Time (s);CH1 (A);CH2 (A)\n"
    text += "".join(f"{t:.2f};{a:.4f};{0.31 + 0.2 * (int(t) % 3):.4f}\n" for t, _, a in rows(c))
    write(out, "both channels.csv", text)


def log_epoch(c, out):
    base = DAY.replace(tzinfo=datetime.timezone.utc).timestamp()
    text = "epoch;I(A);U(V)\n" + "".join(f"{base + t:.3f};{a:.4f};{v:.3f}\n" for t, v, a in rows(c))
    write(out, "datalog.csv", text)


def log_repeated(c, out):
    head = "time,current (A),voltage (V)\n"
    text = "# logger restarted twice\n"
    for k, (t, v, a) in enumerate(rows(c)):
        text += head if k % 60 == 0 else ""
        text += f"{t:.2f} s,{a:.4f} A,{v:.3f} V\n" if k % 23 else ""
        text += f"{t:.2f} s,{a:.4f} A,{v:.3f} V\n" if k % 31 == 5 else ""
    write(out, "logger.csv", text)


def log_typed(c, out):
    """What somebody wrote down: when each current was set."""
    text = "time_s,amps\n0,0\n"
    offset = c.truth["clock_offset_s"]
    for level in c.truth["levels"]:
        text += f"{level['start'] - offset:.0f},{level['amps']:.3f}\n"
    end = c.truth["levels"][-1]["end"]
    if end < c.times[-1] - 1:
        text += f"{end - offset:.0f},0\n"
    write(out, "currents i set.csv", text)


def log_none(_c, _out):
    pass


# --- Parts, photo, landmarks -----------------------------------------------------------------------


def parts_plain(c, out):
    shutil.copy(os.path.join(c.folder, "parts.csv"), out)


def placement(c, out, name, head, row, encoding="utf-8"):
    text = head + "".join(row(p, float(p["x_mm"]), float(p["y_mm"]))
                          for p in c.table("parts.csv"))
    write(out, name, text, encoding)


CHIPS = {(1.0, 0.5): "0402", (1.5, 1.0): "0603", (2.0, 1.0): "0805", (3.0, 1.5): "1206"}


def body(p):
    """Package by the true size, and the turn of its longer side."""
    sides = float(p["width_mm"]), float(p["height_mm"])
    size = max(sides), min(sides)
    turn = 90 if sides[0] < sides[1] else 0
    if p["kind"] in ("cap", "res") and size in CHIPS:
        return ("C_" if p["kind"] == "cap" else "R_") + CHIPS[size], turn
    if p["kind"] in ("ic", "mosfet"):
        return f"QFN-16 {size[0]:g}x{size[1]:g}mm", turn
    return f"{p['kind'].upper()} {size[0]:g}x{size[1]:g}mm", turn


def parts_mm(c, out):
    placement(c, out, "Pick Place for board.csv",
              '"Designator","Mid X","Mid Y","Layer","Rotation","Package"\n',
              lambda p, x, y: f'"{p["ref"]}","{x:.3f}mm","{y:.3f}mm",'
              f'"{"TopLayer" if p["side"] == "top" else "BottomLayer"}","{body(p)[1]}","{body(p)[0]}"\n')


def parts_mil(c, out):
    placement(c, out, "placement top+bottom.txt", "Designator\tMid X (mil)\tMid Y (mil)\tLayer\tRotation\tPackage\n",
              lambda p, x, y: f'{p["ref"]}\t{x / 0.0254:.1f}\t{y / 0.0254:.1f}\t'
              f'{"T" if p["side"] == "top" else "B"}\t{body(p)[1]}\t{body(p)[0]}\n')


def parts_german(c, out):
    placement(c, out, "Bestückung.csv", "Bauteil;X (mm);Y (mm);Seite;Drehung;Bauform\n",
              lambda p, x, y: f'{p["ref"]};{comma(x, 3)};{comma(y, 3)};'
              f'{"oben" if p["side"] == "top" else "unten"};{body(p)[1]};{body(p)[0]}\n', "latin-1")


def parts_none(_c, _out):
    pass


def photo_jpg(c, out, name="IMG_20260317.jpg"):
    Image.open(os.path.join(c.folder, "photo.png")).convert("RGB").save(
        os.path.join(out, name), quality=90)


def photo_png_called_jpg(c, out):
    shutil.copy(os.path.join(c.folder, "photo.png"), os.path.join(out, "Foto Oberseite (Kopie).jpg"))


def photo_two(c, out):
    photo_jpg(c, out, "top.jpg")
    Image.open(os.path.join(c.folder, "photo.png")).convert("RGB").transpose(
        Image.FLIP_LEFT_RIGHT).save(os.path.join(out, "bottom.jpg"))


def photo_none(_c, _out):
    pass


def points(c, out):
    shutil.copy(os.path.join(c.folder, "points.csv"), os.path.join(out, "landmarks.csv"))


def contacts(c, out):
    shutil.copy(os.path.join(c.folder, "contacts.csv"), os.path.join(out, "clips.csv"))


def readme(_c, out):
    write(out, "readme.txt", "Board 7, second try. Rail shorted.\nLeads on the left, 0,5 A steps.\n")


def old_result(_c, out):
    os.mkdir(os.path.join(out, "result old"))
    write(out, "result old/result.json", '{\n "schema": 1,\n "program": {"name": "ohmglow"}\n}\n')
    Image.new("L", (320, 240)).save(os.path.join(out, "result old", "map.png"))
    write(out, "result old/candidates.csv", "rank,ref,x_mm,y_mm\n1,C3,1.0,2.0\n")


def system_files(_c, out):
    write(out, "Thumbs.db", "x" * 4000)
    write(out, ".hidden.csv", "time_s,amps\n0,0\n")
    write(out, "desktop.ini", "[view]\nmode=1\n")
