// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
// Boxes drawn on the thermal picture or the photo, each with what is said of it.

import {apply, inverse} from './maps.js';
import {make, say} from './words.js';

const kGrabPx = 20;

export class Boxes {
  /**
   * @param host   the pictures: view(), pictures, notice(text), rest.
   * @param kind   {words: begin of its keys, check(text): what is wrong with what was typed or '',
   *               save(change): a promise, label(row): what stands on it, typed(row), mode}.
   */
  constructor(host, kind) {
    this.host = host;
    this.kind = kind;
    this.rows = [];
    this.clear();
  }

  clear() {
    this.first = null;   // A corner, set by a click or key.
    this.fresh = null;   // A box that says nothing yet.
    this.chosen = null;
  }

  /** @param axes  nine numbers from the frame to the axes that boxes lie along; without: the frame's. */
  show(rows, axes) {
    this.rows = rows;
    this.axes = axes ?? null;
    if (this.chosen !== null && !rows.some((row) => row.row === this.chosen)) this.chosen = null;
  }

  busy() { return !!this.fresh || !!this.first; }

  toFrame(side, x, y) { return side === 'photo' ? this.host.view().toFrame(x, y) : [x, y]; }
  fromFrame(side, x, y) { return side === 'photo' ? this.host.view()?.fromFrame(x, y) ?? [x, y] : [x, y]; }

  /** The four corners of the box that two opposite ones make. */
  corners([a, b]) {
    if (!this.axes) return [a, [b[0], a[1]], b, [a[0], b[1]]];
    const [p, q] = [apply(this.axes, ...a), apply(this.axes, ...b)];
    const back = inverse(this.axes);
    return [p, [q[0], p[1]], q, [p[0], q[1]]].map((at) => apply(back, ...at));
  }

  ready(side) {
    if (side === 'photo' && !this.host.view()) { this.host.notice(say('contact_needs_map')); return false; }
    return this.kind.ready();
  }

  at(fx, fy) {
    return this.rows.findIndex(({corners}) => corners.every(([x0, y0], i) => {
      const [x1, y1] = corners[(i + 1) % 4], [x2, y2] = corners[(i + 2) % 4];
      const side = (x, y) => (x1 - x0) * (y - y0) - (y1 - y0) * (x - x0);
      return side(fx, fy) * side(x2, y2) >= 0;
    }));
  }

  /** For Picture: a corner or a box is dragged; elsewhere a new box begins. */
  grab(side, x, y) {
    if (!this.ready(side)) return null;
    const picture = this.host.pictures[side];
    const near = ([cx, cy]) => {
      const [sx, sy] = this.fromFrame(side, cx, cy);
      return Math.hypot(sx - x, sy - y) * picture.scale < kGrabPx * picture.ratio;
    };
    const from = this.toFrame(side, x, y);
    const own = this.rows.find((row) => row.row === this.chosen);
    const corner = own ? own.corners.findIndex(near) : -1;
    if (corner >= 0) {
      const fixed = own.corners[(corner + 2) % 4];
      return this.drag(side, own, (to) => [fixed, to]);
    }
    const index = this.at(...from);
    if (index >= 0) {
      const row = this.rows[index];
      const [a, , b] = row.corners;
      return this.drag(side, row, (to) => [a, b].map(([cx, cy]) => [cx + to[0] - from[0], cy + to[1] - from[1]]));
    }
    return {
      drag: (px, py) => { this.first = null; this.chosen = null; this.fresh = {box: [from, this.toFrame(side, px, py)]}; this.redraw(); },
      drop: (px, py, moved) => { if (moved) this.ask(); else this.clicked(side, x, y); },
      cancel: () => { this.fresh = null; this.redraw(); }};
  }

  drag(side, row, boxTo) {
    const before = row.corners;
    let box = null;
    const put = (px, py) => { box = boxTo(this.toFrame(side, px, py)); row.corners = this.corners(box); this.redraw(); };
    return {
      drag: put,
      drop: async (px, py, moved) => {
        if (!moved) { this.choose(row.row); return; }
        put(px, py);
        if (!await this.kind.save({row: row.row, box})) { row.corners = before; this.redraw(); }
      },
      cancel: () => { row.corners = before; this.redraw(); }};
  }

  /** Two clicks, or Enter twice, make a box as well. */
  clicked(side, x, y) {
    if (!this.ready(side)) return;
    const at = this.toFrame(side, x, y);
    const index = this.at(...at);
    if (!this.first && index >= 0) { this.choose(this.rows[index].row); return; }
    if (!this.first) { this.first = at; this.fresh = null; this.host.tell(); return; }
    this.fresh = {box: [this.first, at]};
    this.first = null;
    this.ask();
  }

  choose(row) { this.chosen = row; this.host.tell(); }

  ask() {
    this.host.tell();
    document.getElementById('box-words')?.focus();
  }

  back() { this.first = null; this.fresh = null; this.host.tell(); }

  /** M puts the chosen one where the keys' pointer is. */
  key(event, side) {
    const own = this.rows.find((row) => row.row === this.chosen);
    const {probe} = this.host.pictures[side];
    if (event.key === 'Escape' && this.busy()) this.back();
    else if (event.key === 'Delete' && own) this.kind.save({row: own.row, remove: true});
    else if ((event.key === 'm' || event.key === 'M') && own && probe && this.ready(side)) {
      const to = this.toFrame(side, ...probe);
      const [a, , b] = own.corners;
      const move = [to[0] - (a[0] + b[0]) / 2, to[1] - (a[1] + b[1]) / 2];
      this.kind.save({row: own.row, box: [a, b].map(([x, y]) => [x + move[0], y + move[1]])});
    } else return false;
    return true;
  }

  redraw() { for (const picture of Object.values(this.host.pictures)) picture.redraw(); }

  draw(side, c, px) {
    if (side === 'photo' && !this.host.view()) return;
    for (const row of this.rows) this.drawBox(side, c, px, row.corners, this.kind.label(row), row.row === this.chosen);
    if (this.fresh) this.drawBox(side, c, px, this.corners(this.fresh.box), '?', true);
    if (this.first) {
      const [x, y] = this.fromFrame(side, ...this.first);
      c.fillStyle = '#ffd9a0'; c.strokeStyle = '#000'; c.lineWidth = 2 * px;
      c.beginPath(); c.arc(x + 0.5, y + 0.5, 5 * px, 0, 7); c.fill(); c.stroke();
    }
  }

  drawBox(side, c, px, corners, label, chosen) {
    const points = corners.map((at) => this.fromFrame(side, ...at)).map(([x, y]) => [x + 0.5, y + 0.5]);
    const colour = chosen ? '#ffd9a0' : '#8fd0de';
    for (const [stroke, width] of [['#000', 5], [colour, 2]]) {
      c.strokeStyle = stroke; c.lineWidth = width * px; c.lineJoin = 'round';
      c.beginPath();
      points.forEach(([x, y], i) => (i ? c.lineTo(x, y) : c.moveTo(x, y)));
      c.closePath(); c.stroke();
    }
    if (chosen) {
      c.fillStyle = colour;
      for (const [x, y] of points) c.fillRect(x - 4 * px, y - 4 * px, 8 * px, 8 * px);
    }
    c.font = `600 ${14 * px}px system-ui, sans-serif`;
    c.textBaseline = 'middle';
    const [xs, ys] = [0, 1].map((k) => points.map((p) => p[k]));
    const [left, right] = [Math.min(...xs), Math.max(...xs)];
    // Beside a box that it would hide.
    const fits = c.measureText(label).width < right - left;
    c.textAlign = fits ? 'center' : 'left';
    const at = [fits ? (left + right) / 2 : right + 5 * px, ys.reduce((sum, y) => sum + y, 0) / 4];
    c.strokeStyle = '#000'; c.lineWidth = 4 * px;
    c.strokeText(label, ...at);
    c.fillStyle = colour;
    c.fillText(label, ...at);
  }

  /** The form for a new one and the list of those that are there, into a table. */
  list(table) {
    const {words} = this.kind;
    // What is being typed survives that the list is drawn anew.
    const old = document.getElementById('box-words');
    const typed = this.listed && this.listed === this.fresh ? old?.value ?? '' : '';
    const typing = old && document.activeElement === old;
    this.listed = this.fresh;
    const field = (value, save, id) => make('input', {id, value, 'aria-label': say(`${words}_field`), maxlength: 40, inputmode: this.kind.mode,
      onkeydown: (event) => { if (event.key === 'Enter') save(event.target.value); else if (event.key === 'Escape') this.back(); },
      onchange: id ? null : (event) => save(event.target.value)});
    const rows = this.rows.map((row) => make('tr', {class: row.row === this.chosen ? 'chosen' : null},
      make('th', {scope: 'row'}, field(this.kind.typed(row), (text) => this.said(text, {row: row.row}))),
      make('td', {class: 'number'}, make('button', {class: 'quiet', 'aria-label': `${say('remove')}: ${this.kind.label(row)}`,
        onclick: () => this.kind.save({row: row.row, remove: true})}, say('remove')))));
    if (this.fresh) {
      const take = (text) => this.said(text, {box: this.fresh.box});
      rows.unshift(make('tr', {class: 'chosen'}, make('th', {scope: 'row'}, field(typed, take, 'box-words')),
        make('td', {class: 'number'}, make('button', {id: 'box-save', onclick: () => take(document.getElementById('box-words').value)}, say('set')))));
    }
    table.replaceChildren(make('caption', {}, say(`${words}_caption`)), make('tbody', {}, ...rows));
    if (typing) document.getElementById('box-words')?.focus();
  }

  async said(text, change) {
    const wrong = this.kind.check(text);
    if (wrong) { this.host.notice(wrong); return; }
    const box = this.fresh;
    if (await this.kind.save({...change, ...this.kind.said(text)})) {
      if (this.fresh === box) this.fresh = null;
      this.host.tell();
    }
  }
}
