// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
// A picture that is moved and zoomed: by mouse, fingers and keys.

const kStep = 1.25;

export class Picture {
  /**
   * @param draw     draws in the picture's own pixels: draw(context, scale).
   * @param events   over(x, y), away(), click(x, y, event): in the picture's own pixels.
   */
  constructor(canvas, draw, events = {}) {
    this.canvas = canvas;
    this.context = canvas.getContext('2d');
    this.draw = draw;
    this.events = events;
    this.size = {width: 1, height: 1};
    this.scale = 1;
    this.x = 0;
    this.y = 0;
    this.probe = null;
    this.pointers = new Map();
    this.listen();
    new ResizeObserver(() => { this.fitCanvas(); }).observe(canvas);
  }

  setSize(size) {
    const same = size.width === this.size.width && size.height === this.size.height;
    this.size = size;
    if (!same) this.whole();
  }

  fitCanvas() {
    const ratio = Math.min(2, window.devicePixelRatio || 1);
    const width = Math.round(this.canvas.clientWidth * ratio);
    const height = Math.round(this.canvas.clientHeight * ratio);
    if (!width || !height) return;
    const first = !this.ratio;
    this.ratio = ratio;
    if (this.canvas.width !== width || this.canvas.height !== height) {
      this.canvas.width = width;
      this.canvas.height = height;
      if (first || this.isWhole) this.whole();
    }
    this.redraw();
  }

  whole() {
    this.isWhole = true;
    const {width, height} = this.canvas;
    this.scale = Math.min(width / this.size.width, height / this.size.height);
    this.x = (width - this.size.width * this.scale) / 2;
    this.y = (height - this.size.height * this.scale) / 2;
    this.redraw();
  }

  /** Nearer by a factor, with a place of the screen held. */
  zoom(factor, sx = this.canvas.width / 2, sy = this.canvas.height / 2) {
    const least = 0.5 * Math.min(this.canvas.width / this.size.width, this.canvas.height / this.size.height);
    const next = Math.min(64 * least, Math.max(least, this.scale * factor));
    const change = next / this.scale;
    this.x = sx - (sx - this.x) * change;
    this.y = sy - (sy - this.y) * change;
    this.scale = next;
    this.isWhole = false;
    this.redraw();
  }

  move(dx, dy) {
    this.x += dx; this.y += dy;
    this.isWhole = false;
    this.redraw();
  }

  toPicture(sx, sy) { return [(sx - this.x) / this.scale - 0.5, (sy - this.y) / this.scale - 0.5]; }
  toScreen(x, y) { return [(x + 0.5) * this.scale + this.x, (y + 0.5) * this.scale + this.y]; }

  /** Brings a place into sight. */
  show(x, y) {
    const [sx, sy] = this.toScreen(x, y);
    const edge = 40;
    if (sx > edge && sy > edge && sx < this.canvas.width - edge && sy < this.canvas.height - edge) return;
    this.move(this.canvas.width / 2 - sx, this.canvas.height / 2 - sy);
  }

  redraw() {
    if (this.pending) return;
    this.pending = true;
    requestAnimationFrame(() => {
      this.pending = false;
      this.drawNow();
    });
  }

  drawNow() {
    const c = this.context;
    c.setTransform(1, 0, 0, 1, 0, 0);
    c.clearRect(0, 0, this.canvas.width, this.canvas.height);
    // Half a pixel: centres stand at whole numbers.
    c.setTransform(this.scale, 0, 0, this.scale, this.x, this.y);
    this.draw(c, this.scale);
    c.setTransform(1, 0, 0, 1, 0, 0);
    if (this.probe) {
      const [x, y] = this.toScreen(...this.probe);
      const arm = 14 * this.ratio;
      c.lineWidth = 3 * this.ratio; c.strokeStyle = '#000';
      for (let pass = 0; pass < 2; ++pass) {
        c.beginPath();
        c.moveTo(x - arm, y); c.lineTo(x - 4, y); c.moveTo(x + 4, y); c.lineTo(x + arm, y);
        c.moveTo(x, y - arm); c.lineTo(x, y - 4); c.moveTo(x, y + 4); c.lineTo(x, y + arm);
        c.stroke();
        c.lineWidth = 1.5 * this.ratio; c.strokeStyle = '#fff';
      }
    }
  }

  place(event) {
    const box = this.canvas.getBoundingClientRect();
    return [(event.clientX - box.left) * this.ratio, (event.clientY - box.top) * this.ratio];
  }

  listen() {
    const c = this.canvas;
    c.addEventListener('wheel', (event) => {
      event.preventDefault();
      this.zoom(Math.exp(-event.deltaY * 0.0015), ...this.place(event));
    }, {passive: false});
    c.addEventListener('pointerdown', (event) => {
      c.setPointerCapture(event.pointerId);
      this.pointers.set(event.pointerId, this.place(event));
      this.moved = this.pointers.size > 1;
      this.travel = 0;
      const [x, y] = this.toPicture(...this.place(event));
      this.held = this.pointers.size === 1 && this.events.grab ? this.events.grab(x, y) : null;
    });
    c.addEventListener('pointermove', (event) => this.pointerMoved(event));
    const up = (event) => {
      if (!this.pointers.delete(event.pointerId)) return;
      const [x, y] = this.toPicture(...this.place(event));
      if (this.held) this.held.drop(x, y, this.moved);
      else if (!this.moved && event.type === 'pointerup') this.events.click?.(x, y, event);
      this.held = null;
    };
    c.addEventListener('pointerup', up);
    c.addEventListener('pointercancel', up);
    c.addEventListener('pointerleave', () => { this.events.away?.(); });
    c.addEventListener('keydown', (event) => { if (this.key(event)) event.preventDefault(); });
  }

  pointerMoved(event) {
    const now = this.place(event);
    const before = this.pointers.get(event.pointerId);
    if (before) {
      this.travel += Math.hypot(now[0] - before[0], now[1] - before[1]);
      // A click of a gloved hand is not quite still.
      if (this.travel > 6 * this.ratio) this.moved = true;
      if (this.held) {
        if (this.moved) this.held.drag(...this.toPicture(...now));
      } else if (this.pointers.size === 2) {
        const other = [...this.pointers].find(([id]) => id !== event.pointerId)[1];
        const then = Math.hypot(before[0] - other[0], before[1] - other[1]);
        const wide = Math.hypot(now[0] - other[0], now[1] - other[1]);
        if (then > 0) this.zoom(wide / then, (now[0] + other[0]) / 2, (now[1] + other[1]) / 2);
      } else if (this.moved) {
        this.move(now[0] - before[0], now[1] - before[1]);
      }
      this.pointers.set(event.pointerId, now);
    }
    this.events.over?.(...this.toPicture(...now));
  }

  key(event) {
    if (event.ctrlKey || event.metaKey || event.altKey) return false;
    if (this.events.key?.(event)) return true;
    const step = (event.shiftKey ? 40 : 8) * this.ratio / this.scale;
    const way = {ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1]}[event.key];
    if (way) {
      const [x, y] = this.probe ?? this.toPicture(this.canvas.width / 2, this.canvas.height / 2);
      this.setProbe(Math.min(this.size.width - 1, Math.max(0, x + way[0] * step)),
                    Math.min(this.size.height - 1, Math.max(0, y + way[1] * step)));
      return true;
    }
    if (event.key === '+' || event.key === '=') this.zoom(kStep, ...this.middle());
    else if (event.key === '-') this.zoom(1 / kStep, ...this.middle());
    else if (event.key === '0') this.whole();
    else if (event.key === 'Enter' && this.probe) this.events.click?.(...this.probe, event);
    else if (event.key === 'Escape' && this.probe) this.setProbe();
    else return false;
    return true;
  }

  middle() {
    return this.probe ? this.toScreen(...this.probe) : [this.canvas.width / 2, this.canvas.height / 2];
  }

  /** The pointer that the keys move; none without a place. */
  setProbe(x, y) {
    this.probe = x === undefined ? null : [x, y];
    if (this.probe) {
      this.show(x, y);
      this.events.over?.(x, y);
    }
    this.redraw();
  }
}
