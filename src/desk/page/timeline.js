// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
// The capture in time: mean of each frame, and the current below it. Currents that were set by hand
// are dragged here: where each begins, and how high it is.

import {add, drawing} from './svg.js';
import {digits, make, say} from './words.js';

const kHeight = 150, kEdge = 10, kTop = 20, kMeanEnd = 62, kAmpsTop = 84, kFloor = 128;
const kReachPx = 22;    // Of a finger in a glove.
const kSaveMs = 600;    // Keys are pressed several times.
const kTimeStep = 0.1, kLeastGapS = 0.2;

export class TimeLine {
  /** @param save  saves rows [{row, amps, time_s}]; false where that failed. */
  constructor(root, save) {
    this.root = root;
    this.save = save;
    this.box = make('div', {class: 'strip'});
    this.words = make('p', {id: 'clock-words'});
    this.buttons = make('div', {class: 'row'},
      make('button', {id: 'add-level', onclick: () => this.insert()}),
      make('button', {id: 'remove-level', class: 'quiet', onclick: () => this.remove()}));
    root.replaceChildren(this.box, make('div', {class: 'strip-words'}, this.words, this.buttons));
    new ResizeObserver(() => this.draw()).observe(this.box);
  }

  /**
   * @param course  as api/course tells it.
   * @param rows    levels of the case; their times may be missing.
   * @param found   what the last result says of the supply, or nothing.
   */
  show(course, rows, found) {
    this.course = course;
    this.found = found;
    if (this.unsaved) { this.draw(); return; }  // What is being dragged or keyed stays.
    this.rows = structuredClone(rows);
    const [first, last] = [course.time_s[0], course.time_s.at(-1)];
    this.times = this.rows.map((row, i) => (i ? row.time_s ?? this.foundStart(i) ?? first + (last - first) * i / this.rows.length : first));
    this.draw();
  }

  // Only where each level that was set was found: otherwise the numbers do not belong together.
  foundStart(i) {
    const levels = this.found?.levels;
    return levels?.length === this.rows.length ? levels[i].start_s : undefined;
  }

  isSet() { return !this.course.supply; }
  span() { return [this.course.time_s[0], this.course.time_s.at(-1)]; }
  x(t) { const [a, b] = this.span(); return kEdge + (this.width - 2 * kEdge) * (t - a) / Math.max(1e-9, b - a); }
  timeAt(x) { const [a, b] = this.span(); return a + (b - a) * (x - kEdge) / (this.width - 2 * kEdge); }
  y(amps) { return kFloor - (kFloor - kAmpsTop) * amps / this.top; }
  end(i) { return i + 1 < this.rows.length ? this.times[i + 1] : this.span()[1]; }
  ampsStep() { return this.top < 2 ? 0.01 : 0.1; }

  draw() {
    this.width = this.box.clientWidth;
    if (!this.course || !this.width) return;
    const focused = this.next ?? document.activeElement?.dataset?.handle;
    this.next = null;
    this.svg = drawing();
    this.svg.setAttribute('viewBox', `0 0 ${this.width} ${kHeight}`);
    this.svg.setAttribute('role', 'group');
    this.svg.setAttribute('aria-label', say('course_label'));
    this.drawMean();
    if (this.isSet()) this.drawLevels(); else this.drawLog();
    const [first, last] = this.span();
    for (let n = 0; n <= 4; ++n) {
      const t = first + (last - first) * n / 4;
      add(this.svg, 'text', {x: this.x(t), y: kHeight - 4, 'text-anchor': n === 0 ? 'start' : n === 4 ? 'end' : 'middle'}, `${digits(t)} s`);
    }
    this.box.replaceChildren(this.svg);
    this.tell();
    if (focused) this.svg.querySelector(`[data-handle="${focused}"]`)?.focus({preventScroll: true});
  }

  path(points) { return points.map(([x, y], i) => `${i ? 'L' : 'M'}${x.toFixed(1)} ${y.toFixed(1)}`).join(''); }

  drawMean() {
    const {time_s, mean} = this.course;
    const seen = mean.filter(Number.isFinite);
    const low = Math.min(...seen), high = Math.max(...seen);
    const y = (v) => kMeanEnd - (kMeanEnd - kTop) * (v - low) / Math.max(1e-12, high - low);
    const points = time_s.flatMap((t, i) => (Number.isFinite(mean[i]) ? [[this.x(t), y(mean[i])]] : []));
    add(this.svg, 'text', {x: kEdge, y: 13}, say('course_mean'));
    add(this.svg, 'path', {d: this.path(points), fill: 'none', stroke: '#ffd9a0', 'stroke-width': 1.5});
  }

  // Where the clocks' difference is not known, both are drawn from their own beginnings.
  drawLog() {
    const {supply, time_s} = this.course;
    const offset = supply.offset_s ?? this.found?.clock_offset_s ?? time_s[0] - supply.time_s[0];
    const [first, last] = this.span();
    this.top = Math.max(1e-9, ...supply.amps);
    const points = [];
    supply.time_s.forEach((t, i) => {
      const x = this.x(Math.min(last, Math.max(first, t + offset)));
      if (i) points.push([x, this.y(supply.amps[i - 1])]);
      points.push([x, this.y(supply.amps[i])]);
    });
    add(this.svg, 'text', {x: kEdge, y: kAmpsTop - 8}, say('course_amps', {amps: digits(this.top)}));
    add(this.svg, 'path', {d: this.path(points), fill: 'none', stroke: '#8fd0de', 'stroke-width': 2});
  }

  drawLevels() {
    if (!this.held) this.top = 1.25 * Math.max(0.4, ...this.rows.map((row) => row.amps));
    add(this.svg, 'text', {x: kEdge, y: kAmpsTop - 8}, say('course_set'));
    for (let i = 0; this.found && i < this.rows.length; ++i) {
      const t = i ? this.foundStart(i) : undefined;
      if (t !== undefined) {
        add(this.svg, 'line', {x1: this.x(t), x2: this.x(t), y1: kTop, y2: kFloor, stroke: '#b9b7b1', 'stroke-dasharray': '3 4'});
      }
    }
    this.rows.forEach((row, i) => {
      const [x0, x1, y] = [this.x(this.times[i]), this.x(this.end(i)), this.y(row.amps)];
      add(this.svg, 'rect', {x: x0, y, width: Math.max(0, x1 - x0), height: Math.max(0, kFloor - y), fill: '#8fd0de', opacity: 0.16});
      this.handle(`high-${i}`, {x: x0 + 4, y: y - 3, width: Math.max(4, x1 - x0 - 8), height: 6}, row.amps, 0, 100,
        say('level_amps', {number: i + 1, amps: digits(row.amps)}), (way, far) => this.put(i, {amps: row.amps + way * this.ampsStep() * (far ? 10 : 1)}));
      add(this.svg, 'text', {x: (x0 + x1) / 2, y: Math.max(kAmpsTop - 4, y - 6), 'text-anchor': 'middle', class: 'strong'}, `${digits(row.amps)} A`);
      if (!i) return;
      const known = row.time_s !== undefined;
      add(this.svg, 'line', {x1: x0, x2: x0, y1: kTop, y2: kFloor, stroke: '#8fd0de', 'stroke-width': 2, ...(known ? {} : {'stroke-dasharray': '2 5'})});
      this.handle(`edge-${i}`, {x: x0 - 6, y: kAmpsTop - 18, width: 12, height: 18}, this.times[i], ...this.span(),
        say(known ? 'level_edge' : 'level_edge_open', {number: i + 1, time: digits(this.times[i])}),
        (way, far) => this.put(i, {time: this.times[i] + way * kTimeStep * (far ? 10 : 1)}));
    });
    this.listen();
  }

  handle(name, shape, now, least, most, label, step) {
    const group = add(this.svg, 'g', {tabindex: 0, role: 'slider', 'data-handle': name, 'aria-label': label, class: 'handle',
      'aria-valuemin': least, 'aria-valuemax': most, 'aria-valuenow': now, 'aria-valuetext': label});
    add(group, 'rect', {...shape, rx: 3, fill: '#8fd0de'});
    group.addEventListener('keydown', (event) => {
      const way = {ArrowRight: 1, ArrowUp: 1, ArrowLeft: -1, ArrowDown: -1}[event.key];
      if (event.key === 'Delete') this.remove();
      else if (event.key === 'Insert') this.insert();
      else if (way && !event.ctrlKey && !event.altKey && !event.metaKey) {
        step(way, event.shiftKey);
        clearTimeout(this.timer);
        this.timer = setTimeout(() => this.saveNow(), kSaveMs);
      } else return;
      event.preventDefault();
    });
    group.addEventListener('focus', () => { this.chosen = +name.split('-')[1]; this.tell(); });
  }

  /** Moves a level as far as its neighbours let it. */
  put(i, {time, amps}) {
    this.unsaved = true;
    if (amps !== undefined) this.rows[i].amps = Math.min(100, Math.max(0, Math.round(amps * 1000) / 1000));
    if (time !== undefined && i) {
      const least = this.times[i - 1] + kLeastGapS, most = this.end(i) - kLeastGapS;
      this.times[i] = Math.round(100 * Math.min(most, Math.max(least, time))) / 100;
      this.rows[i].time_s = this.times[i];
    }
    this.draw();
  }

  /** The nearest edge, else the height of the level below the pointer. */
  nearest(x) {
    let best = null;
    for (let i = 1; i < this.rows.length; ++i) {
      const off = Math.abs(this.x(this.times[i]) - x);
      if (off < kReachPx && (!best || off < best.off)) best = {off, edge: i};
    }
    if (best) return best;
    const high = this.rows.findLastIndex((_, i) => this.x(this.times[i]) <= x);
    return high < 0 ? null : {high};
  }

  // On the box: the drawing in it is made anew while something is dragged.
  listen() {
    if (this.listening) return;
    this.listening = true;
    const at = (event) => {
      const box = this.box.getBoundingClientRect();
      return [event.clientX - box.left, event.clientY - box.top];
    };
    this.box.addEventListener('pointerdown', (event) => {
      if (!this.isSet() || at(event)[1] < kMeanEnd) return;
      this.held = this.nearest(at(event)[0]);
      if (!this.held) return;
      this.box.setPointerCapture(event.pointerId);
      this.moved = false;
      const handle = this.held.edge ? `edge-${this.held.edge}` : `high-${this.held.high}`;
      this.svg.querySelector(`[data-handle="${handle}"]`)?.focus({preventScroll: true});
      event.preventDefault();
      this.from = at(event);
    });
    this.box.addEventListener('pointermove', (event) => {
      if (!this.held) return;
      const [x, y] = at(event);
      // A tap chooses alone.
      if (!this.moved && Math.hypot(x - this.from[0], y - this.from[1]) < 4) return;
      this.moved = true;
      if (this.held.edge) this.put(this.held.edge, {time: this.timeAt(x)});
      else {
        const step = this.ampsStep();
        this.put(this.held.high, {amps: Math.round((kFloor - y) / (kFloor - kAmpsTop) * this.top / step) * step});
      }
    });
    const up = () => {
      const moved = this.held && this.moved;
      this.held = null;
      if (moved) this.saveNow();
    };
    this.box.addEventListener('pointerup', up);
    this.box.addEventListener('pointercancel', up);
  }

  async saveNow() {
    clearTimeout(this.timer);
    this.unsaved = false;
    await this.save(this.rows);
  }

  /** A level more, in the middle of the longest one. */
  async insert() {
    if (!this.rows.length) {
      const [first, last] = this.span();
      const third = (n) => Math.round(100 * (first + (last - first) * n / 3)) / 100;
      await this.save([{amps: 0}, {amps: 0.5, time_s: third(1)}, {amps: 0, time_s: third(2)}]);
      return;
    }
    const long = (i) => this.end(i) - this.times[i];
    const i = this.rows.reduce((best, _, j) => (long(j) > long(best) ? j : best), 0);
    const other = this.rows[i].amps > 0 ? 0 : Math.max(0.5, ...this.rows.map((row) => row.amps));
    // Between two like it, it would be no step at its end.
    const amps = this.rows[i + 1]?.amps === other ? (other + this.rows[i].amps) / 2 : other;
    const time_s = Math.round(100 * (this.times[i] + long(i) / 2)) / 100;
    this.next = `edge-${i + 1}`;
    await this.save([...this.rows.slice(0, i + 1), {amps, time_s}, ...this.rows.slice(i + 1)]);
  }

  async remove() {
    if (this.rows.length < 3 || !(this.chosen >= 0)) return;
    await this.save(this.rows.filter((_, i) => i !== this.chosen));
  }

  tell() {
    const {supply} = this.course;
    const [add_, remove] = this.buttons.children;
    this.buttons.hidden = !!supply;
    add_.textContent = say(this.rows.length ? 'add_level' : 'begin_levels');
    remove.textContent = say('remove_level', {number: (this.chosen ?? 0) + 1});
    remove.disabled = this.rows.length < 3 || !(this.chosen >= 0 && this.chosen < this.rows.length);
    const offset = supply?.offset_s ?? this.found?.clock_offset_s;
    this.words.textContent = !supply
      ? say(this.rows.length ? (this.found ? 'levels_found' : 'levels_drag') : 'levels_none')
      : offset === undefined ? say('clock_open')
        : say(`clock_${offset < 0 ? 'ahead' : 'behind'}${supply.offset_s === undefined ? '' : '_set'}`, {
          offset: digits(Math.abs(offset)), sigma: digits(1.96 * (this.found?.clock_offset_sigma_s ?? NaN), 2)});
  }
}
