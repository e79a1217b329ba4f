// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
// Two pictures of one view: beside each other at a divider that is dragged, or in turn.

import {make, say} from './words.js';

const kBlinkMs = 700;

export class Two {
  /** @param box  where the slider and the switch go. */
  constructor(picture, box, names) {
    this.picture = picture;
    this.phase = 0;
    this.range = make('input', {type: 'range', min: 0, max: 100, step: 0.1, value: 50, class: 'divider', 'aria-label': say('divider'),
                                oninput: () => picture.redraw()});
    this.names = names;
    this.turn = make('button', {'aria-pressed': false, class: 'blink', onclick: () => this.blink(!this.timer)}, say('blink'));
    box.replaceChildren(make('label', {class: 'blend'}, make('span', {}, names[0]), this.range, make('span', {}, names[1])), this.turn);
  }

  blink(on) {
    clearInterval(this.timer);
    this.timer = on ? setInterval(() => { this.phase = 1 - this.phase; this.picture.redraw(); }, kBlinkMs) : null;
    this.turn.setAttribute('aria-pressed', on);
    this.range.disabled = on;
    this.picture.redraw();
  }

  close() { this.blink(false); }

  /** For Picture: the divider is dragged where it is taken. */
  grab(x) {
    const [sx] = this.picture.toScreen(x, 0);
    const width = this.picture.canvas.width;
    if (this.timer || Math.abs(sx - this.range.value / 100 * width) > 16 * this.picture.ratio) return null;
    const put = (px) => { this.range.value = 100 * this.picture.toScreen(px, 0)[0] / width; this.picture.redraw(); };
    return {drag: put, drop: (px, py, moved) => { if (moved) put(px); else this.picture.events.click?.(px, py); }};
  }

  /** Draws the first left of the divider, the second right of it. */
  draw(c, first, second) {
    const {width, height} = this.picture.size;
    if (this.timer) {
      (this.phase ? second : first)();
      return;
    }
    const at = this.at();
    const part = (x, w, what) => {
      if (w <= 0) return;
      c.save(); c.beginPath(); c.rect(x, -1, w, height + 2); c.clip(); what(); c.restore();
    };
    part(-1, at + 1, first);
    part(at, width - at + 1, second);
  }

  /** The divider and what lies on either side. */
  marks(c) {
    if (this.timer) { this.label(c, [this.names[this.phase]]); return; }
    const {height} = this.picture.size;
    const at = this.at();
    const px = this.picture.ratio / this.picture.scale;
    for (const [colour, wide] of [['#000', 5], ['#fff', 2]]) {
      c.beginPath(); c.moveTo(at, 0); c.lineTo(at, height);
      c.strokeStyle = colour; c.lineWidth = wide * px; c.stroke();
    }
    this.label(c, this.names);
  }

  /** Where the divider stands, in the picture's own pixels. */
  at() { return (this.range.value / 100 * this.picture.canvas.width - this.picture.x) / this.picture.scale; }

  label(c, names) {
    c.save();
    c.setTransform(1, 0, 0, 1, 0, 0);
    const r = this.picture.ratio;
    c.font = `600 ${15 * r}px system-ui, sans-serif`;
    c.textBaseline = 'bottom';
    c.lineWidth = 4 * r; c.strokeStyle = '#000'; c.fillStyle = '#fff'; c.lineJoin = 'round';
    names.forEach((name, i) => {
      c.textAlign = i ? 'right' : 'left';
      const x = i ? this.picture.canvas.width - 10 * r : 10 * r;
      c.strokeText(name, x, this.picture.canvas.height - 8 * r);
      c.fillText(name, x, this.picture.canvas.height - 8 * r);
    });
    c.restore();
  }
}
