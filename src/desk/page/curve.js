// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
// How a spot warmed: what was measured, the fit with its 95 % band, and the current below.

import {add, drawing} from './svg.js';
import {digits, say} from './words.js';

const kWidth = 360, kHeight = 220, kLeft = 46, kRight = 8, kTop = 10, kCurrent = 44, kBottom = 34;

// Two to six round numbers between the ends.
function ticks(low, high) {
  const raw = (high - low) / 5;
  const power = 10 ** Math.floor(Math.log10(raw));
  const step = [1, 2, 5, 10].map((f) => f * power).find((s) => s >= raw);
  const out = [];
  for (let v = Math.ceil(low / step) * step; v <= high + 1e-9 * step; v += step) out.push(Math.abs(v) < 1e-12 ? 0 : v);
  return out;
}

/** @param points  [time_s, amps, rise, fit, fit_sigma], in order. */
export function drawCurve(points, unit) {
  const svg = drawing();
  svg.setAttribute('viewBox', `0 0 ${kWidth} ${kHeight}`);
  svg.setAttribute('role', 'img');
  svg.setAttribute('aria-label', say('curve_label'));
  const times = points.map((p) => p[0]);
  const rises = points.flatMap((p) => [p[2], p[3]]).filter(Number.isFinite);
  const t0 = Math.min(...times), t1 = Math.max(...times);
  const low = Math.min(0, ...rises), high = Math.max(1e-6, ...rises);
  const amps = Math.max(1e-9, ...points.map((p) => p[1]));
  const bottom = kHeight - kBottom - kCurrent;
  const x = (t) => kLeft + (kWidth - kLeft - kRight) * (t - t0) / Math.max(1e-9, t1 - t0);
  const y = (v) => bottom - (bottom - kTop) * (v - low) / Math.max(1e-12, high - low);
  const floor = kHeight - kBottom;
  const yAmps = (a) => floor - (kCurrent - 10) * a / amps;
  for (const v of ticks(low, high)) {
    add(svg, 'line', {x1: kLeft, x2: kWidth - kRight, y1: y(v), y2: y(v), stroke: '#4a4e56'});
    add(svg, 'text', {x: kLeft - 5, y: y(v) + 4, 'text-anchor': 'end'}, digits(v));
  }
  for (const t of ticks(t0, t1)) add(svg, 'text', {x: x(t), y: floor + 14, 'text-anchor': 'middle'}, digits(t));
  add(svg, 'text', {x: kWidth - kRight, y: floor + 29, 'text-anchor': 'end'}, say('time'));
  add(svg, 'text', {x: kLeft, y: floor + 29}, say('rise', {unit}));
  add(svg, 'text', {x: kLeft - 5, y: yAmps(amps) + 4, 'text-anchor': 'end'}, `${digits(amps)} ${say('amps')}`);
  const fitted = points.filter((p) => Number.isFinite(p[3]) && p[3] !== null);
  const line = (ps, of) => ps.map((p, i) => `${i ? 'L' : 'M'}${x(p[0]).toFixed(1)} ${of(p).toFixed(1)}`).join('');
  if (fitted.length) {
    const band = line(fitted, (p) => y(p[3] + 1.96 * (p[4] ?? 0))) +
      line([...fitted].reverse(), (p) => y(p[3] - 1.96 * (p[4] ?? 0))).replace('M', 'L') + 'Z';
    add(svg, 'path', {d: band, fill: '#8fd0de', opacity: 0.22});
    add(svg, 'path', {d: line(fitted, (p) => y(p[3])), fill: 'none', stroke: '#8fd0de', 'stroke-width': 2});
  }
  for (const p of points) add(svg, 'circle', {cx: x(p[0]).toFixed(1), cy: y(p[2]).toFixed(1), r: 1.8, fill: '#ffd9a0'});
  let steps = `M${x(points[0][0])} ${yAmps(points[0][1])}`;
  for (const p of points) steps += `H${x(p[0]).toFixed(1)}V${yAmps(p[1]).toFixed(1)}`;
  add(svg, 'path', {d: steps, fill: 'none', stroke: '#b9b7b1', 'stroke-width': 1.5});
  return svg;
}
