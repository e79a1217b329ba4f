# SPDX-FileCopyrightText: The ohmglow authors
# SPDX-License-Identifier: Apache-2.0
"""Checks an output folder's index.html as a browser would read it.

  check_page.py FOLDER
"""
import base64
import hashlib
import html.parser
import json
import pathlib
import sys
import urllib.parse


class Page(html.parser.HTMLParser):
    def __init__(self):
        super().__init__()
        self.links, self.open, self.scripts, self.policy, self.rows = [], [], [], "", 0
        self.problems = []

    def handle_starttag(self, tag, attributes):
        attributes = dict(attributes)
        if tag in ("link", "iframe", "object", "embed", "base", "form"):
            self.problems.append(f"<{tag}>")
        self.problems += [f"{tag} {name}" for name in attributes if name.startswith("on")]
        if attributes.get("http-equiv") == "Content-Security-Policy":
            self.policy = attributes["content"]
        self.links += [attributes[name] for name in ("href", "src") if name in attributes]
        if tag == "tr":
            self.rows += 1
        if tag not in ("meta", "img"):
            self.open.append(tag)

    def handle_endtag(self, tag):
        if not self.open or self.open.pop() != tag:
            self.problems.append(f"</{tag}> closes another tag")

    def handle_data(self, data):
        if self.open and self.open[-1] == "script":
            self.scripts.append(data)


def main():
    folder = pathlib.Path(sys.argv[1])
    page = Page()
    page.feed((folder / "index.html").read_text(encoding="utf-8"))
    problems = page.problems
    # Content Security Policy Level 3, "hash-source": the base64 SHA-256 of the script's text.
    digest = base64.b64encode(hashlib.sha256("".join(page.scripts).encode()).digest()).decode()
    if f"script-src 'sha256-{digest}'" not in page.policy:
        problems.append(f"the policy does not allow the page's own script: {digest}")
    if "default-src 'none'" not in page.policy:
        problems.append("the policy allows other sources")
    for link in page.links:
        if not link.startswith("./"):
            problems.append(f"link {link} is not relative")
        elif not (folder / urllib.parse.unquote(link)).exists():
            problems.append(f"link {link} leads nowhere")
    cases = json.loads((folder / "summary.json").read_text(encoding="utf-8"))["cases"]
    if page.rows != len(cases) + 1:
        problems.append(f"{page.rows} rows for {len(cases)} cases")
    if page.open:
        problems.append(f"left open: {page.open}")
    print("\n".join(problems))
    return 1 if problems else 0


if __name__ == "__main__":
    sys.exit(main())
