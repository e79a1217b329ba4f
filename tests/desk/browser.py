# SPDX-FileCopyrightText: The ohmglow authors
# SPDX-License-Identifier: Apache-2.0
"""What browser_test.py stands on: a desk, a page of it in Chromium, checks that count.

Leaves screenshots where OHMGLOW_SHOTS names a folder. Exit code 77: skipped, the browser is not
there."""
import json
import os
import pathlib
import re
import shutil
import signal
import subprocess
import sys
import tempfile
import time

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
