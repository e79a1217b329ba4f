// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
// Colours of numbers: the scale of the program's own pictures, and grey for pictures at rest.

import {get} from './api.js';

const kLinearShare = 0.1;
let table = null;

export async function loadColours() {
  table ??= await get('api/colours');
}

function spread(values) {
  const seen = values.filter(Number.isFinite).sort();
  if (!seen.length) return [0, 1];
  return [seen[Math.floor(0.005 * (seen.length - 1))], seen[Math.ceil(0.998 * (seen.length - 1))]];
}

/** Values below zero are drawn as zero: what cools says nothing here. */
export function heatScale(map) {
  let high = 0;
  for (const value of map.values) if (value > high) high = value;
  high = Math.max(high, 1e-9);
  const full = Math.asinh(1 / kLinearShare);
  const position = (value) => Math.min(1, Math.max(0, Math.asinh(value / (kLinearShare * high)) / full));
  return {low: 0, high, colour: (value, rgba) => {
    const share = position(value);
    const at = 3 * Math.round(share * 255);
    // Where little warms, the photo is left to be seen.
    rgba[0] = table[at]; rgba[1] = table[at + 1]; rgba[2] = table[at + 2]; rgba[3] = 90 + 165 * Math.min(1, 2 * share);
  }, valueAt: (share) => kLinearShare * high * Math.sinh(share * full)};
}

/** Of limits: they differ by factors, so their logarithm is coloured. */
export function limitScale(map) {
  const [low, high] = spread(map.values.filter((v) => v > 0));
  const span = Math.max(1e-9, Math.log(high / low));
  return {low, high, colour: (value, rgba) => {
    const at = 3 * Math.round(Math.min(1, Math.max(0, Math.log(value / low) / span)) * 255);
    rgba[0] = table[at]; rgba[1] = table[at + 1]; rgba[2] = table[at + 2]; rgba[3] = 255;
  }, valueAt: (share) => low * Math.exp(share * span)};
}

export function greyScale(map) {
  const [low, high] = spread(map.values);
  const span = Math.max(1e-9, high - low);
  return {low, high, colour: (value, rgba) => {
    rgba[0] = rgba[1] = rgba[2] = 18 + 222 * Math.min(1, Math.max(0, (value - low) / span));
    rgba[3] = 255;
  }, valueAt: (share) => low + share * span};
}

/** The scale as a bar of colour. */
export function bar(scale, width = 180, height = 12) {
  const canvas = document.createElement('canvas');
  canvas.width = width; canvas.height = height;
  const context = canvas.getContext('2d');
  const rgba = [0, 0, 0, 255];
  for (let x = 0; x < width; ++x) {
    scale.colour(scale.valueAt(x / (width - 1)), rgba);
    context.fillStyle = `rgb(${rgba[0]},${rgba[1]},${rgba[2]})`;
    context.fillRect(x, 0, 1, height);
  }
  return canvas;
}
