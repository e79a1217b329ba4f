#!/usr/bin/env python3
# SPDX-FileCopyrightText: The ohmglow authors
# SPDX-License-Identifier: Apache-2.0
"""The desk as a person uses it, in Chromium: browser_test.py PROGRAM SAMPLE_FOLDER.

From frames, log and photo without any table to the first place, the saved picture and the
customer's page, by clicks; then by keys alone; then with a file changed underneath and with the
browser closed in the middle. Leaves screenshots where OHMGLOW_SHOTS names a folder. Exit code 77:
skipped, the browser is not there."""
import base64
import json
import math
import os
import pathlib
import re
import shutil
import signal
import subprocess
import sys
import tempfile
import time
import xml.etree.ElementTree

try:
    from selenium import webdriver
    from selenium.webdriver.chrome.service import Service
    from selenium.webdriver.common.action_chains import ActionChains
    from selenium.webdriver.common.by import By
    from selenium.webdriver.common.keys import Keys
except ImportError:
    webdriver = None
CHROMIUM, DRIVER = shutil.which("chromium"), shutil.which("chromedriver")
if webdriver is None or not CHROMIUM or not DRIVER:
    print("SKIPPED: the desk in a browser: chromium, chromium-driver or python3-selenium is missing")
    sys.exit(77)

program, sample = sys.argv[1], pathlib.Path(sys.argv[2])
truth = json.loads((sample.parent / "truth.json").read_text())
work = pathlib.Path(tempfile.mkdtemp())
os.environ["XDG_CONFIG_HOME"] = str(work / "config")
shots = os.environ.get("OHMGLOW_SHOTS")
failures = 0
open_desks = []
open_drivers = []


def give_up(*_):
    raise TimeoutError("the whole test takes too long")


signal.signal(signal.SIGALRM, give_up)
signal.alarm(280)


def check(right, words):
    global failures
    if not right:
        failures += 1
        print("FAILED:", words)


def until(what, words, seconds=60):
    end = time.time() + seconds
    while time.time() < end:
        try:
            value = what()
            if value:
                return value
        except Exception:  # The page may be between two states.
            pass
        time.sleep(0.05)
    raise AssertionError(f"not in {seconds} s: {words}")


def bare_case(name):
    """The sample as it comes from the bench: nothing but frames, log and photo."""
    folder = work / name
    folder.mkdir()
    for file in ("frames.tiff", "frames.csv", "supply.csv", "photo.png"):
        shutil.copyfile(sample / file, folder / file)
    gone = ("points =", "parts =", "contacts =", "mm_per_pixel =")
    lines = (sample / "case.ini").read_text().splitlines(True)
    (folder / "case.ini").write_text("".join(line for line in lines if not line.startswith(gone)))
    return folder


# What can be told of a page without a checker from elsewhere. Contrast: W3C WCAG 2.1, 1.4.3 with
# the relative luminance of its definitions; 24 px, or bold 18.66 px, and more is large text; what is
# disabled is exempt. Focus: 2.4.7. Language: 3.1.1. Headings: technique G141.
ACCESSIBLE = """
const faults = [];
const seen = (e) => e.checkVisibility({visibilityProperty: true}) && e.getBoundingClientRect().width > 0;
const parse = (text) => text.match(/[\\d.]+/g).map(Number);
const luminance = (rgb) => {
  const [r, g, b] = rgb.map((v) => (v /= 255, v <= 0.03928 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4));
  return 0.2126 * r + 0.7152 * g + 0.0722 * b;
};
const over = (top, below, share) => top.map((v, i) => v * share + below[i] * (1 - share));
const ground = (e) => {
  if (!e) return [255, 255, 255];
  const [r, g, b, a = 1] = parse(getComputedStyle(e).backgroundColor);
  return a === 1 ? [r, g, b] : over([r, g, b], ground(e.parentElement), a);
};
const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
let texts = 0;
while (walker.nextNode()) {
  const e = walker.currentNode.parentElement;
  if (!walker.currentNode.textContent.trim() || !seen(e) || e.closest(':disabled')) continue;
  ++texts;
  const style = getComputedStyle(e);
  const [r, g, b, a = 1] = parse(e.ownerSVGElement ? style.fill : style.color);
  const below = ground(e);
  const pair = [luminance(over([r, g, b], below, a)), luminance(below)].sort((x, y) => y - x);
  const ratio = (pair[0] + 0.05) / (pair[1] + 0.05);
  const size = parseFloat(style.fontSize), large = size >= 24 || (size >= 18.66 && style.fontWeight >= 700);
  if (ratio < (large ? 3 : 4.5)) faults.push(`contrast ${ratio.toFixed(1)}: ${walker.currentNode.textContent.trim().slice(0, 30)}`);
}
if (texts < 5) faults.push('no text to look at');
if (document.documentElement.lang !== document.getElementById('language').value) faults.push('language of the page');
let last = 0;
for (const e of [...document.querySelectorAll('h1, h2, h3, h4')].filter(seen)) {
  const level = +e.tagName[1];
  if (level > last + 1) faults.push(`heading ${level} behind ${last}: ${e.textContent}`);
  if (!e.textContent.trim()) faults.push('an empty heading');
  last = level;
}
const before = document.activeElement;
for (const e of document.querySelectorAll('button, input, select, textarea, summary, [tabindex="0"]')) {
  if (!seen(e) || e.matches(':disabled')) continue;
  document.activeElement.blur();
  e.focus({preventScroll: true, focusVisible: true});
  const style = getComputedStyle(e);
  if (document.activeElement !== e) faults.push(`no focus: ${e.id || e.textContent}`);
  else if (style.outlineStyle === 'none' || parseFloat(style.outlineWidth) < 2) faults.push(`focus is not seen: ${e.id || e.textContent}`);
}
before?.focus({preventScroll: true});
return faults;
"""


class Desk:
    def __init__(self, folder):
        command = [program, "desk", str(folder), "--no-browser", "--threads", "2"]
        self.process = subprocess.Popen(command, stdout=subprocess.PIPE, text=True)
        open_desks.append(self.process)
        self.address = re.search(r"http\S+", self.process.stdout.readline()).group(0)

    def close(self):
        self.process.terminate()
        self.process.wait(20)


class Page:
    def __init__(self, desk, size=(1280, 720)):
        options = webdriver.ChromeOptions()
        options.binary_location = CHROMIUM
        for word in ("--headless=new", "--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage",
                     "--hide-scrollbars", "--lang=en"):
            options.add_argument(word)
        options.add_experimental_option("prefs", {"download.default_directory": str(work)})
        options.set_capability("goog:loggingPrefs", {"browser": "ALL"})
        self.driver = webdriver.Chrome(service=Service(DRIVER), options=options)
        open_drivers.append(self.driver)
        self.driver.set_page_load_timeout(30)
        self.driver.set_script_timeout(30)
        self.size(*size)
        self.clicks = 0
        self.driver.get(desk.address)
        until(lambda: self.run("return document.body.dataset.ready"), "the page is ready")

    def size(self, width, height):
        self.driver.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", {
            "width": width, "height": height, "deviceScaleFactor": 1, "mobile": False})

    def run(self, script, *arguments):
        return self.driver.execute_script(script, *arguments)

    def ask(self, path):
        return self.driver.execute_async_script(
            "const done = arguments[1]; fetch(arguments[0]).then((r) => r.json()).then(done)", path)

    def find(self, place):
        return self.driver.find_element(By.CSS_SELECTOR, place)

    def click(self, place):
        self.clicks += 1
        self.find(place).click()

    def click_in(self, canvas, x, y, size):
        """At a place of the picture, which lies whole in its canvas."""
        self.clicks += 1
        box = self.find(canvas).rect
        scale = min(box["width"] / size["width"], box["height"] / size["height"])
        at = [(v + 0.5 - n / 2) * scale for v, n in ((x, size["width"]), (y, size["height"]))]
        ActionChains(self.driver).move_to_element_with_offset(
            self.find(canvas), round(at[0]), round(at[1])).click().perform()

    def shot(self, name):
        if shots:
            self.driver.save_screenshot(str(pathlib.Path(shots) / f"{name}.png"))

    def tab_to(self, place):
        """By the key alone, as far as a person would press it."""
        for _ in range(80):
            if self.run("return document.activeElement.matches(arguments[0])", place):
                return
            ActionChains(self.driver).send_keys(Keys.TAB).perform()
        raise AssertionError(f"no way by the tabulator to {place}")

    def keys(self, *keys):
        ActionChains(self.driver).send_keys(*keys).perform()

    def nameless(self):
        """Controls without a name, as a screen reader is told them (WAI-ARIA 1.2, 5.2.8.4)."""
        tree = self.driver.execute_cdp_cmd("Accessibility.getFullAXTree", {})["nodes"]
        roles = {"button", "textbox", "slider", "combobox", "radio", "tab", "checkbox", "image", "progressbar"}
        return [node["role"]["value"] for node in tree if not node.get("ignored")
                and node["role"]["value"] in roles and not node.get("name", {}).get("value")]

    def accessible(self, where):
        check(not self.nameless(), f"{where}: without a name: {self.nameless()}")
        faults = self.run(ACCESSIBLE)
        check(not faults, f"{where}: {faults}")

    def errors(self):
        return [line["message"] for line in self.driver.get_log("browser") if line["level"] == "SEVERE"]

    def close(self):
        errors = self.errors()  # Asking takes them out of the log.
        check(not errors, f"errors in the browser: {errors}")
        self.driver.quit()


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
print(f"desk, browser: {failures} failures")
sys.exit(1 if failures else 0)
