// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
// Draws as a canvas does what marks a picture (lines, rings, words), but into a drawing, so that it
// stays sharp at any size and words stay words.

import {add} from './svg.js';

const n = (value) => +value.toFixed(2);

export class Pen {
  /** @param svg  where the elements go. */
  constructor(svg) {
    this.svg = svg;
    this.kept = [];
    this.strokeStyle = this.fillStyle = '#000';
    this.lineWidth = 1;
    this.lineCap = 'butt';
    this.lineJoin = 'miter';
    this.font = '10px sans-serif';
    this.textAlign = 'left';
    this.textBaseline = 'alphabetic';
    this.setTransform(1, 0, 0, 1, 0, 0);
  }

  setTransform(...values) {
    this.values = values;
    this.group = null;  // Begun with what stands in it.
  }
  save() { this.kept.push(this.values); }
  restore() { this.setTransform(...this.kept.pop()); }

  put(name, attributes, text) {
    this.group ??= add(this.svg, 'g', {transform: `matrix(${this.values.map((v) => +v.toPrecision(9)).join(' ')})`});
    add(this.group, name, attributes, text);
  }

  beginPath() { this.way = ''; }
  moveTo(x, y) { this.way += `M${n(x)} ${n(y)}`; }
  lineTo(x, y) { this.way += `L${n(x)} ${n(y)}`; }
  closePath() { this.way += 'Z'; }
  /** A whole ring: no other arcs are drawn here. */
  arc(x, y, r) { this.way += `M${n(x - r)} ${n(y)}a${n(r)} ${n(r)} 0 1 0 ${n(2 * r)} 0a${n(r)} ${n(r)} 0 1 0 ${n(-2 * r)} 0Z`; }

  stroke() {
    this.put('path', {d: this.way, fill: 'none', stroke: this.strokeStyle, 'stroke-width': n(this.lineWidth),
      'stroke-linecap': this.lineCap, 'stroke-linejoin': this.lineJoin});
  }

  strokeText(text, x, y) { this.edge = {text, x, y, stroke: this.strokeStyle, width: this.lineWidth}; }

  /** With the edge that was drawn of the same words, as one text. */
  fillText(text, x, y) {
    const [, weight, size, family] = this.font.match(/^(\d+ )?([\d.]+)px (.*)$/);
    const down = {middle: 0.35, bottom: -0.2}[this.textBaseline] ?? 0;
    const edge = this.edge?.text === text && this.edge.x === x && this.edge.y === y
      ? {stroke: this.edge.stroke, 'stroke-width': n(this.edge.width), 'stroke-linejoin': 'round', 'paint-order': 'stroke'} : {};
    this.put('text', {x: n(x), y: n(y + down * size), fill: this.fillStyle, 'font-size': n(+size), 'font-family': family,
      ...(weight ? {'font-weight': weight.trim()} : {}), 'text-anchor': {center: 'middle', right: 'end'}[this.textAlign] ?? 'start', ...edge}, text);
    this.edge = null;
  }
}
