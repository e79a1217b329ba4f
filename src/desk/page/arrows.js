// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
// The user's own arrows on the picture, for the one who gets it.

const kHead = 16;

export class Arrows {
  constructor(picture, button) {
    this.picture = picture;
    this.button = button;
    this.list = [];
    button.addEventListener('click', () => this.set(!this.on));
  }

  set(on) {
    this.on = on;
    this.button.setAttribute('aria-pressed', on);
  }

  clear() {
    this.list = [];
    this.set(false);
  }

  /** For Picture: from where the drag begins to where it ends. A click alone takes the last one away. */
  grab(x, y) {
    if (!this.on) return null;
    const arrow = {from: [x, y], to: [x, y]};
    const put = (px, py) => { arrow.to = [px, py]; this.picture.redraw(); };
    return {drag: (px, py) => { if (!this.list.includes(arrow)) this.list.push(arrow); put(px, py); },
            drop: (px, py, moved) => { if (moved) put(px, py); else this.list.pop(); this.set(false); this.picture.redraw(); }};
  }

  /** By the key: to a place, from the upper left. */
  pointAt([x, y]) {
    const arm = 90 * this.picture.ratio / this.picture.scale;
    this.list.push({from: [x - arm, y - arm], to: [x, y]});
    this.picture.redraw();
  }

  draw(c, px) {
    for (const {from, to} of this.list) {
      const [x0, y0, x1, y1] = [from[0] + 0.5, from[1] + 0.5, to[0] + 0.5, to[1] + 0.5];
      const way = Math.atan2(y1 - y0, x1 - x0);
      for (const [colour, width] of [['#000', 8], ['#fff', 4]]) {
        c.strokeStyle = colour; c.lineWidth = width * px; c.lineCap = c.lineJoin = 'round';
        c.beginPath();
        c.moveTo(x0, y0); c.lineTo(x1, y1);
        for (const side of [-0.5, 0.5]) {
          c.moveTo(x1, y1);
          c.lineTo(x1 - kHead * px * Math.cos(way + side), y1 - kHead * px * Math.sin(way + side));
        }
        c.stroke();
      }
      c.lineCap = 'butt';
    }
  }
}
