// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
// Maps of the plane, as the program has them: nine numbers, row by row, and a lens.

export function apply(m, x, y) {
  const w = m[6] * x + m[7] * y + m[8];
  return [(m[0] * x + m[1] * y + m[2]) / w, (m[3] * x + m[4] * y + m[5]) / w];
}

export function inverse(m) {
  const [a, b, c, d, e, f, g, h, i] = m;
  const det = a * (e * i - f * h) - b * (d * i - f * g) + c * (d * h - e * g);
  return [e * i - f * h, c * h - b * i, b * f - c * e, f * g - d * i, a * i - c * g, c * d - a * f,
          d * h - e * g, b * g - a * h, a * e - b * d].map((v) => v / det);
}

function bend(lens, x, y) {
  const dx = x - lens.x, dy = y - lens.y;
  const r2 = (dx * dx + dy * dy) / (lens.radius * lens.radius);
  const f = 1 + lens.k1 * r2 + lens.k2 * r2 * r2;
  return [lens.x + dx * f, lens.y + dy * f];
}

// By repeated correction: the bend is small.
function straighten(lens, x, y) {
  let px = x, py = y;
  for (let n = 0; n < 5; ++n) {
    const [bx, by] = bend(lens, px, py);
    px += x - bx; py += y - by;
  }
  return [px, py];
}

/** The view that is shown: the photo's, or the frame's where nothing ties it to a photo. */
export class View {
  constructor(size, matrix, lens) {
    this.size = size;
    this.matrix = matrix;
    this.back = matrix ? inverse(matrix) : null;
    this.lens = lens;
  }
  fromFrame(x, y) {
    if (!this.matrix) return [x, y];
    const at = apply(this.matrix, x, y);
    return this.lens ? bend(this.lens, ...at) : at;
  }
  toFrame(x, y) {
    if (!this.back) return [x, y];
    const at = this.lens ? straighten(this.lens, x, y) : [x, y];
    return apply(this.back, ...at);
  }
}

/** The value of a map at a place in the frame, between its pixels; NaN beside it. */
export function valueAt(map, x, y) {
  const x0 = Math.floor(x), y0 = Math.floor(y);
  if (!(x >= -0.5 && y >= -0.5 && x <= map.width - 0.5 && y <= map.height - 0.5)) return NaN;
  const cx = (v) => Math.min(map.width - 1, Math.max(0, v));
  const cy = (v) => Math.min(map.height - 1, Math.max(0, v));
  const u = x - x0, v = y - y0;
  const row0 = cy(y0) * map.width, row1 = cy(y0 + 1) * map.width;
  const a = map.values[row0 + cx(x0)], b = map.values[row0 + cx(x0 + 1)];
  const c = map.values[row1 + cx(x0)], d = map.values[row1 + cx(x0 + 1)];
  return (a * (1 - u) + b * u) * (1 - v) + (c * (1 - u) + d * u) * v;
}

/**
 * A map of numbers as colours in the view, ready to be drawn at any zoom. The number is
 * taken between pixels first and coloured then, so that edges of colour stay smooth.
 * @param most    points along the longer side.
 * @param colour  writes red, green, blue of a value into an array of four.
 */
export function paint(map, view, colour, most = 1600) {
  // Fine enough for the heat, whatever the photo has.
  const [x0, y0] = view.fromFrame(0, 0);
  const [x1, y1] = view.fromFrame(map.width - 1, map.height - 1);
  const perPixel = Math.max(1e-3, Math.hypot(x1 - x0, y1 - y0) / Math.hypot(map.width, map.height));
  const wanted = Math.min(1, 3.5 / perPixel, most / Math.max(view.size.width, view.size.height));
  const scale = view.matrix ? wanted : Math.min(4, 0.75 * most / view.size.width);
  const width = Math.max(1, Math.round(view.size.width * scale));
  const height = Math.max(1, Math.round(view.size.height * scale));
  const canvas = new OffscreenCanvas(width, height);
  const context = canvas.getContext('2d');
  const image = context.createImageData(width, height);
  const rgba = [0, 0, 0, 255];
  for (let y = 0, at = 0; y < height; ++y) {
    for (let x = 0; x < width; ++x, at += 4) {
      const [fx, fy] = view.toFrame((x + 0.5) / scale - 0.5, (y + 0.5) / scale - 0.5);
      const value = valueAt(map, fx, fy);
      if (!Number.isFinite(value)) continue;  // Left clear: not seen.
      colour(value, rgba);
      image.data[at] = rgba[0]; image.data[at + 1] = rgba[1];
      image.data[at + 2] = rgba[2]; image.data[at + 3] = rgba[3];
    }
  }
  context.putImageData(image, 0, 0);
  return canvas;
}
