#!/usr/bin/env python3
# SPDX-FileCopyrightText: The ohmglow authors
# SPDX-License-Identifier: Apache-2.0
"""The desk as a person uses it, in Chromium: browser_test.py PROGRAM SAMPLE_FOLDER.

From frames, log and photo without any table to the first place, the saved picture and the
customer's page, by clicks; then by keys alone; then with a file changed underneath and with the
browser closed in the middle. Leaves screenshots where OHMGLOW_SHOTS names a folder. Exit code 77:
skipped, the browser is not there."""
import base64
import math
import re
import shutil
import sys
import time
import xml.etree.ElementTree

sys.dont_write_bytecode = True
import browser  # noqa: E402
from browser import ActionChains, By, Desk, Keys, Page, bare_case, check, open_desks, open_drivers, sample, truth, until, work  # noqa: E402


def landmarks():
    rows = [line.split(",") for line in (sample / "points.csv").read_text().splitlines()[1:]]
    return [[float(cell) for cell in row[:4]] for row in rows[:5]]


def check_drawing(file):
    """A drawing that can be given to anybody: whole, words as words, nothing that runs or is fetched."""
    svg = "{http://www.w3.org/2000/svg}"
    tree = xml.etree.ElementTree.parse(file)
    texts = [text.text for text in tree.iter(f"{svg}text")]
    check("Cleaned <C1> & \"flux\"" in texts, f"own words are missing: {texts}")
    check(any(text.startswith("Place 1 · ") for text in texts), f"the first place is missing: {texts}")
    check(sum(1 for _ in tree.iter(f"{svg}path")) >= 4, "rings and arrow are missing")
    known = {svg + name for name in ("svg", "title", "defs", "linearGradient", "stop", "rect", "image", "g", "path", "text")}
    for element in tree.iter():
        check(element.tag in known, f"{element.tag} in a drawing")
        for name, value in element.attrib.items():
            check(not name.startswith("on"), f"{name} in a drawing")
            if "href" in name:
                check(value.startswith("data:image/png;base64,"), f"refers to {value[:40]}")
            elif "url(" in value:
                check(value == "url(#scale)", f"refers to {value[:40]}")
    picture = base64.b64decode(next(tree.iter(f"{svg}image")).get("href").split(",")[1])
    check(picture.startswith(b"\x89PNG\r\n\x1a\n"), "the board is no PNG")  # PNG (ISO/IEC 15948), 5.2


def first_place(page):
    until(lambda: page.driver.find_elements(By.CSS_SELECTOR, "#places li"), "places are listed", 120)
    return page.ask("api/result")["candidates"][0]


def near_truth(place):
    fault = next(source for source in truth["sources"] if source["is_fault"])
    return math.hypot(place["frame_x"] - fault["frame_x"], place["frame_y"] - fault["frame_y"])


def by_clicks():
    folder = bare_case("clicks")
    desk = Desk(folder)
    page = Page(desk)
    page.click("#ask-prepare")
    state = page.ask("api/state")["case"]
    until(lambda: page.run("return !document.getElementById('propose').disabled"), "both pictures are there")
    for number, (fx, fy, px, py) in enumerate(landmarks(), 1):
        page.click_in("#frame-picture", fx, fy, state["frames"])
        page.click_in("#photo-picture", px, py, state["photo"])
        until(lambda: len(page.driver.find_elements(By.CSS_SELECTOR, "#marks tr")) == number, f"landmark {number}")
    page.shot("prepare")
    page.accessible("prepare")
    rows = [[float(cell) for cell in line.split(",")[:4]] for line in (folder / "points.csv").read_text().splitlines()[1:]]
    for saved, meant in zip(rows, landmarks()):
        # A click hits a pixel of the screen; that is the error of a place.
        check(math.dist(saved[:2], meant[:2]) < 1, f"landmark {meant} became {saved}")
        check(math.dist(saved[2:], meant[2:]) < 4, f"landmark {meant} became {saved}")
    page.click("#tasks [data-value=contacts]")
    for line in (sample / "contacts.csv").read_text().splitlines()[1:]:
        page.click_in("#frame-picture", *[float(cell) for cell in line.split(",")[:2]], state["frames"])
        time.sleep(0.3)
    until(lambda: len((folder / "contacts.csv").read_text().splitlines()) == 3, "contacts are saved")
    page.click("#tasks [data-value=scale]")
    a, b = landmarks()[0], landmarks()[1]
    board = [[float(c) for c in line.split(",")[4:6]] for line in (sample / "points.csv").read_text().splitlines()[1:3]]
    page.click_in("#frame-picture", a[0], a[1], state["frames"])
    page.click_in("#frame-picture", b[0], b[1], state["frames"])
    until(lambda: page.find("#distance"), "the distance is asked for")

    def scale_is_saved():
        # What was saved before may still be drawing the panel anew: then the field is another one.
        field = page.find("#distance")
        field.clear()
        field.send_keys(f"{math.dist(*board):.2f}", Keys.ENTER)
        until(lambda: "mm_per_pixel" in (folder / "case.ini").read_text(), "the scale", 5)
        return True

    until(scale_is_saved, "the scale is saved")
    scale = float(re.search(r"mm_per_pixel = (\S+)", (folder / "case.ini").read_text()).group(1))
    check(abs(scale / 0.3971 - 1) < 0.03, f"scale {scale}")
    page.click("#ask-answer")
    page.click("#run")
    place = first_place(page)
    check(page.clicks <= 20, f"{page.clicks} clicks to the list")
    print(f"clicks to the list: {page.clicks}")
    check(near_truth(place) < 2, f"first place at {place['frame_x']}, {place['frame_y']}")
    check("photo_x" in place, "the place is not on the photo")
    check(len(page.find("#evidence").text) > 100, "no reasons")
    page.click_in("#board", 0.7 * state["photo"]["width"], 0.5 * state["photo"]["height"], state["photo"])
    until(lambda: page.driver.find_elements(By.CSS_SELECTOR, "#curve svg circle"), "a curve")
    check("mm" in page.find("#under").text or "frame" in page.find("#under").text, "nothing under the pointer")
    page.run("const s = document.getElementById('moment'); s.value = 40; s.dispatchEvent(new Event('input'))")
    until(lambda: "A" in page.find("#moment-words").text, "a moment of the warming")
    page.shot("moment")
    page.click("#arrow")
    box = page.find("#board")
    ActionChains(page.driver).move_to_element_with_offset(box, -150, -100).click_and_hold().move_by_offset(60, 50).release().perform()
    check(page.run("return document.getElementById('arrow').getAttribute('aria-pressed')") == "false", "the arrow is not set")
    for name, size in (("small", (1280, 720)), ("tablet", (820, 1180)), ("large", (1920, 1080))):
        page.size(*size)
        time.sleep(0.4)
        page.shot(f"answer-{name}")
        check(page.run("return document.documentElement.scrollWidth <= innerWidth"), f"wider than the screen: {name}")
    page.size(1280, 720)
    page.accessible("answer")
    page.click("#save")
    until(lambda: (work / "board.png").exists(), "the picture is saved")
    page.find("#own-words").send_keys("Cleaned <C1> & \"flux\"")
    page.click("#save-svg")
    until(lambda: (work / "board.svg").exists(), "the drawing is saved")
    check_drawing(work / "board.svg")
    page.click("#ask-tell")
    page.find("#shop-name").send_keys("Bench & Board")
    page.find("#notes").send_keys("Took the part out, rail at 12 V again.")
    until(lambda: page.driver.find_elements(By.CSS_SELECTOR, "canvas#sheet"), "the page is shown")
    page.shot("tell")
    page.accessible("tell")
    page.click("#pdf")
    until(lambda: (work / "page.pdf").exists(), "the PDF is saved")
    check((work / "page.pdf").read_bytes().startswith(b"%PDF"), "no PDF")
    page.click("#end")
    until(lambda: desk.process.poll() is not None, "the desk has closed", 20)
    check(desk.process.returncode == 0, "the desk ended with an error")
    page.driver.quit()  # What it says of the closed desk is no fault of the page.


def by_keys():
    folder = bare_case("keys")
    desk = Desk(folder)
    page = Page(desk)
    page.tab_to("[role=tab]")
    page.keys(Keys.ARROW_LEFT)
    until(lambda: page.run("return !document.getElementById('propose').disabled"), "both pictures are there")
    page.tab_to("#frame-picture")
    page.keys(Keys.ARROW_RIGHT, Keys.ARROW_DOWN, Keys.ENTER)
    page.tab_to("#photo-picture")
    page.keys(Keys.ARROW_RIGHT, Keys.ENTER)
    until(lambda: page.driver.find_elements(By.CSS_SELECTOR, "#marks tr"), "a landmark by keys")
    page.keys("u")
    until(lambda: len((folder / "points.csv").read_text().splitlines()) == 1, "it is taken back")
    page.tab_to("#propose")
    page.keys(Keys.ENTER)
    until(lambda: page.find("#take"), "a proposal")
    page.tab_to("#take")
    page.keys(Keys.ENTER)
    until(lambda: len((folder / "points.csv").read_text().splitlines()) == 6, "five landmarks")
    page.run("document.getElementById('ask-prepare').focus()")
    page.keys(Keys.ARROW_RIGHT)
    page.tab_to("#run")
    page.keys(Keys.ENTER)
    check(near_truth(first_place(page)) < 2, "another place by keys")
    page.tab_to("#board")
    page.keys("l", "]", "+", Keys.ARROW_LEFT, Keys.ENTER, "1")
    until(lambda: page.find("#places [aria-pressed=true]"), "the first place is chosen")

    # Another program changes a file of the case meanwhile.
    table = folder / "points.csv"
    table.write_text(table.read_text() + "10,10,200,300\n")
    page.run("document.getElementById('ask-prepare').click()")
    until(lambda: len(page.driver.find_elements(By.CSS_SELECTOR, "#marks tr")) == 6, "the change is noticed")
    page.run("document.getElementById('ask-answer').click()")
    until(lambda: "changed" in page.find("#run-words").text, "the result is called stale")

    # The browser is closed in the middle, and opened again.
    page.click("#run")
    page.close()
    page = Page(desk)
    first_place(page)
    until(lambda: page.ask("api/state")["run"]["number"] >= 2, "the second run is done", 120)
    page.find("#language").send_keys("Deutsch")
    until(lambda: page.find("#ask-answer").text == "Wo wird es warm?", "German")
    # Another desk on another port has kept the shop's lines.
    check(page.find("#shop-name").get_attribute("value") == "Bench & Board", "the shop's name is lost")
    check(page.find("#sheet-language").get_attribute("value") == "de", "the customer's page does not follow")
    page.accessible("German")
    page.shot("answer-german")
    page.close()
    desk.close()


def drag(page, place, start, end):
    """From one place of an element to another, counted from its corner."""
    box = page.find(place).rect
    page.clicks += 1
    move = lambda at: (round(at[0] - box["width"] / 2), round(at[1] - box["height"] / 2))
    element = page.find(place)
    chain = ActionChains(page.driver).move_to_element_with_offset(element, *move(start)).click_and_hold()
    for share in (0.3, 0.7, 1):
        at = [a + share * (b - a) for a, b in zip(start, end)]
        chain = chain.move_to_element_with_offset(element, *move(at))
    chain.release().perform()


def by_drawing():
    """Without a log and a parts list: currents on the time line, a part around the fault, named."""
    folder = bare_case("drawn")
    (folder / "supply.csv").unlink()
    shutil.copyfile(sample / "points.csv", folder / "points.csv")
    lines = (sample / "case.ini").read_text().splitlines(True)
    gone = ("log =", "parts =", "contacts =", "clock_offset_s =")
    (folder / "case.ini").write_text("".join(line for line in lines if not line.startswith(gone)))
    levels = lambda: re.search(r"levels = (.*)", (folder / "case.ini").read_text()).group(1)
    desk = Desk(folder)
    page = Page(desk)
    page.click("#ask-prepare")
    until(lambda: page.find("#add-level").is_displayed(), "a time line")
    page.click("#add-level")
    until(levels, "levels are saved")
    strip = page.find(".strip").rect
    first, *_, last = page.ask("api/course")["time_s"]
    at = lambda time_s: 10 + (strip["width"] - 20) * (time_s - first) / (last - first)
    begin = float(levels().split("@")[1].split()[0])
    drag(page, ".strip", (at(begin), 100), (at(18.5), 100))
    until(lambda: abs(float(levels().split("@")[1].split()[0]) - 18.5) < 0.1, f"the begin is dragged: {levels()}")
    before = levels().split()[1].split("@")[0]
    drag(page, ".strip", (at(20), 105), (at(20), 95))
    until(lambda: levels().split()[1].split("@")[0] != before, "the height is dragged")
    page.run("document.querySelector('[data-handle=edge-1]').focus()")
    page.keys(Keys.ARROW_RIGHT, Keys.ARROW_RIGHT)
    until(lambda: abs(float(levels().split("@")[1].split()[0]) - 18.7) < 0.1, "the begin is moved by keys")
    page.shot("levels")
    page.click("#tasks [data-value=parts]")
    fault = next(source for source in truth["sources"] if source["is_fault"])
    box, frames = page.find("#frame-picture").rect, page.ask("api/state")["case"]["frames"]
    scale = min(box["width"] / frames["width"], box["height"] / frames["height"])
    seen = lambda x, y: (box["width"] / 2 + (x + 0.5 - frames["width"] / 2) * scale,
                         box["height"] / 2 + (y + 0.5 - frames["height"] / 2) * scale)
    x, y = fault["frame_x"], fault["frame_y"]
    drag(page, "#frame-picture", seen(x - 3, y - 2), seen(x + 3, y + 2))
    until(lambda: page.run("return document.activeElement.id === 'box-words'"), "the name is asked for")
    page.keys("C77", Keys.ENTER)
    until(lambda: "C77," in (folder / "parts.csv").read_text(), "the part is saved")
    page.accessible("draw")
    # A second one by keys: its corners, its name, moved, taken back.
    page.run("document.getElementById('photo-picture').focus()")
    page.keys(Keys.ARROW_UP, Keys.ENTER, Keys.ARROW_RIGHT, Keys.ARROW_DOWN, Keys.ENTER)
    until(lambda: page.run("return document.activeElement.id === 'box-words'"), "the second name is asked for")
    page.keys("R9", Keys.ENTER)
    until(lambda: "R9," in (folder / "parts.csv").read_text(), "the second part is saved")
    page.shot("parts")
    page.click("#undo")
    until(lambda: "R9," not in (folder / "parts.csv").read_text(), "the second part is taken back")
    page.click("#ask-answer")
    page.click("#run")
    check(first_place(page)["parts"][0]["ref"] == "C77", "the drawn part is not named")
    page.close()
    desk.close()


def on_a_shelf():
    shelf = work / "shelf"
    for name in ("before", "after"):
        shutil.copytree(sample, shelf / name)
    desk = Desk(shelf)
    page = Page(desk)
    check(not page.find("#answer").is_displayed(), "an answer without a case")
    until(lambda: len(page.driver.find_elements(By.CSS_SELECTOR, "#shelf-list button")) == 2, "two cases are listed")
    page.shot("shelf")
    page.click("#sheet-all")
    until(lambda: page.run("return [...document.querySelectorAll('#shelf-list img')].filter((i) => i.naturalWidth > 50).length === 2"),
          "both cases have their picture", 120)
    check("C1" in page.find("#shelf-list").text, "the part is not on the contact sheet")
    page.shot("contact-sheet")
    page.driver.find_elements(By.CSS_SELECTOR, "#shelf-list button")[1].click()
    until(lambda: page.find("#run").is_enabled() and page.find("#run").is_displayed(), "the case is open")
    page.click("#ask-repaired")
    until(lambda: page.find("#after-case").text.strip() == "after", "the other case is offered")
    page.accessible("repaired")
    page.click("#others")
    until(lambda: page.find("#shelf-list").is_displayed(), "back to the shelf")
    page.accessible("shelf")
    page.close()
    desk.close()


try:
    by_clicks()
    by_keys()
    by_drawing()
    on_a_shelf()
finally:
    for process in open_desks:
        if process.poll() is None:
            process.kill()
    for driver in open_drivers:
        try:
            driver.quit()
        except Exception:  # It may be closed already.
            pass
    shutil.rmtree(work, ignore_errors=True)
print(f"desk, browser: {browser.failures} failures")
sys.exit(1 if browser.failures else 0)
