// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
#include "batch/index_assets.h"

namespace ohmglow::batch {

const std::string_view kIndexStyle = R"css(
:root { color-scheme: light; }
* { box-sizing: border-box; }
body { margin: 1.5rem; background: #fff; color: #1a1c1f;
  font: 1.125rem/1.4 "DejaVu Sans", Verdana, sans-serif; }
h1 { margin: 0 0 .3rem; font-size: 1.8rem; }
.counts { margin: 0 0 1.2rem; font-size: 1.25rem; }
.counts b { font-size: 1.5rem; }
.counts span { margin-right: 1.4rem; white-space: nowrap; }
table { border-collapse: collapse; width: 100%; }
th, td { padding: .5rem .8rem; text-align: left; vertical-align: middle;
  border-bottom: 1px solid #9aa0a6; }
thead th { position: sticky; top: 0; background: #e9ebee; border-bottom: 2px solid #1a1c1f;
  white-space: nowrap; }
th:has(button) { cursor: pointer; }
th button { all: unset; cursor: pointer; padding: .2rem .3rem; }
th button::after { content: "\2195"; color: #54585d; }
th[aria-sort=ascending] button::after { content: "\25B2"; color: #1a1c1f; }
th[aria-sort=descending] button::after { content: "\25BC"; color: #1a1c1f; }
th button:focus-visible, a:focus-visible { outline: 3px solid #0b57a4; outline-offset: 2px; }
tr.failed td, tr.missing td, tr.failed th, tr.missing th { background: #f3f4f5; }
.picture { width: 17rem; padding: .4rem; }
.picture img { display: block; width: 16rem; height: 12rem; object-fit: contain;
  background: #e9ebee; border: 1px solid #9aa0a6; }
.name { min-width: 11rem; max-width: 22rem; overflow-wrap: anywhere; font-weight: normal; }
.name b { display: block; font-size: 1.25rem; }
.name small, td small { display: block; font-size: 1rem; color: #45494e; }
.name .links { margin-top: .4rem; }
.name .links a { display: inline-block; margin-right: .9rem; white-space: nowrap; }
a { color: #0b4a8f; }
.badge { display: inline-block; padding: .25rem .7rem; border: 2px solid #1a1c1f;
  border-radius: .4rem; font-weight: bold; white-space: nowrap; }
.badge.found { background: #9a3b00; border-color: #9a3b00; color: #fff; border-radius: 1.2rem; }
.badge.several { background: #fff; border-color: #9a3b00; color: #7d3000; border-radius: 1.2rem;
  border-width: 3px; }
.badge.none { background: #fff; border-color: #54585d; color: #33373b; }
.badge.failed, .badge.missing { background: #1a1c1f; color: #fff; border-radius: 0; }
.verdict small { margin-top: .3rem; }
.place { font-weight: bold; font-size: 1.25rem; overflow-wrap: anywhere; max-width: 15rem; }
.place small { font-weight: normal; }
.weak { color: #45494e; font-weight: normal; }
.watts, .sure { white-space: nowrap; }
.watts b, .sure b { font-size: 1.25rem; }
.bar { display: block; width: 8rem; height: .7rem; margin-top: .3rem; border: 1px solid #1a1c1f;
  background: #fff; }
.bar i { display: block; height: 100%; background: #1a1c1f; }
.error { max-width: 44rem; overflow-wrap: anywhere; }
footer { margin-top: 1.2rem; font-size: 1rem; color: #45494e; }
@media screen and (max-width: 70rem) {
  body { margin: .8rem; font-size: 1rem; }
  th, td { padding: .4rem; }
  .picture { width: 9rem; }
  .picture img { width: 8rem; height: 6rem; }
  .name { min-width: 8rem; }
  .bar { width: 6rem; }
}
@media print {
  @page { size: A4 landscape; margin: 10mm; }
  body { margin: 0; font-size: 11pt; }
  thead th { position: static; }
  th button { display: none; }
  tr { break-inside: avoid; }
  th, td { padding: 1.5mm 2mm; }
  .picture { width: 42mm; }
  .picture img { width: 40mm; height: 30mm; }
  .name .links { display: none; }
  a { color: inherit; text-decoration: none; }
  .badge, .bar i { print-color-adjust: exact; -webkit-print-color-adjust: exact; }
}
)css";

const std::string_view kIndexScript = R"js(
"use strict";
const table = document.querySelector("table");
const body = table.tBodies[0];
const order = new Intl.Collator(undefined, {numeric: true, sensitivity: "base"});
// Numbers by size, with unknown ones last in either direction; else natural order.
function compare(a, b, direction) {
  if (a === "" || b === "") return (a === "") - (b === "");
  const x = Number(a), y = Number(b);
  return direction * (isNaN(x) || isNaN(y) ? order.compare(a, b) : x - y);
}
table.querySelectorAll("thead th[data-sort]").forEach((head) => {
  const button = document.createElement("button");
  button.type = "button";
  button.setAttribute("aria-label", "Sort by " + head.textContent.toLowerCase());
  head.append(button);
  // A click on the word does as well; one on the button comes up here.
  head.addEventListener("click", () => {
    const first = head.dataset.sort === "down" ? "descending" : "ascending";
    const other = first === "ascending" ? "descending" : "ascending";
    const now = head.getAttribute("aria-sort") === first ? other : first;
    table.querySelectorAll("thead th").forEach((each) => each.removeAttribute("aria-sort"));
    head.setAttribute("aria-sort", now);
    const key = (row) => row.cells[head.cellIndex]?.dataset.key ?? "";
    const rows = Array.from(body.rows);
    rows.sort((a, b) => compare(key(a), key(b), now === "ascending" ? 1 : -1));
    body.append(...rows);
  });
});
)js";

const std::string_view kIndexScriptHash = "mEue0E52pr9Sz8GPPep/UJY5HGWWAwULR6kTlPUSQao=";

}  // namespace ohmglow::batch
