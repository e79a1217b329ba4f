// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
// The whole capture in one strip: mean of each frame, and the current below it.

import {add, drawing} from './svg.js';
import {digits, say} from './words.js';

const kWidth = 360, kHeight = 130, kLeft = 8, kRight = 8;

function path(times, values, x, top, bottom) {
  const seen = values.filter((v) => v !== null && Number.isFinite(v));
  const low = Math.min(...seen), high = Math.max(...seen);
  const y = (v) => bottom - (bottom - top) * (v - low) / Math.max(1e-12, high - low);
  return times.map((t, i) => (values[i] === null ? '' : `${i ? 'L' : 'M'}${x(t).toFixed(1)} ${y(values[i]).toFixed(1)}`)).join('');
}

export function drawCourse({time_s, mean, supply}) {
  const svg = drawing();
  svg.setAttribute('viewBox', `0 0 ${kWidth} ${kHeight}`);
  svg.setAttribute('role', 'img');
  svg.setAttribute('aria-label', say('course_label'));
  const t0 = time_s[0], t1 = time_s.at(-1);
  const x = (t) => kLeft + (kWidth - kLeft - kRight) * (t - t0) / Math.max(1e-9, t1 - t0);
  add(svg, 'text', {x: kLeft, y: 12}, say('course_mean'));
  add(svg, 'path', {d: path(time_s, mean, x, 18, 62), fill: 'none', stroke: '#ffd9a0', 'stroke-width': 1.5});
  if (supply) {
    // Where the clocks' difference is not known, both are drawn from their own beginnings.
    const offset = supply.offset_s ?? t0 - supply.time_s[0];
    add(svg, 'text', {x: kLeft, y: 78}, say('course_amps', {amps: digits(Math.max(...supply.amps))}));
    add(svg, 'path', {d: path(supply.time_s.map((t) => Math.min(t1, Math.max(t0, t + offset))), supply.amps, x, 84, 112),
                      fill: 'none', stroke: '#8fd0de', 'stroke-width': 1.5});
  }
  add(svg, 'text', {x: kWidth - kRight, y: kHeight - 4, 'text-anchor': 'end'}, `${digits(t1 - t0)} s`);
  return svg;
}
