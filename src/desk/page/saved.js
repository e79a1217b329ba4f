// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
// What is seen, as a file: the picture, its scale, and what was said about it.

import {bar} from './colours.js';
import {Pen} from './pen.js';
import {add, apartDrawing} from './svg.js';

const kMargin = 16;
const kLine = 26;
const kLegend = 60;
const kBarWidth = 260;
const kBarSteps = 32;
const kFont = 'system-ui, sans-serif';
const kGround = '#17181a', kText = '#eceae6';
// The board in a drawing may be looked at nearer than on the screen.
const kFiner = 2;

function wrapped(texts, width) {
  const context = new OffscreenCanvas(1, 1).getContext('2d');
  context.font = `17px ${kFont}`;
  return texts.flatMap((text) => {
    const lines = [''];
    for (const word of text.split(/\s+/)) {
      const longer = lines.at(-1) ? `${lines.at(-1)} ${word}` : word;
      if (lines.at(-1) && context.measureText(longer).width > width) lines.push(word);
      else lines[lines.length - 1] = longer;
    }
    return lines;
  });
}

function hand(blob, name) {
  const link = document.createElement('a');
  link.href = URL.createObjectURL(blob);
  link.download = name;
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 10000);
}

/**
 * @param picture  as it is on the screen; `sheet.draw` is what it draws.
 * @param sheet    {texts, scale, ends}: what is said below it, the scale of its colours, and what that
 *                 scale is of, its low and its high end.
 */
export function savePng(picture, {texts, scale, ends}) {
  const shown = picture.canvas;
  const canvas = document.createElement('canvas');
  const context = canvas.getContext('2d');
  const lines = wrapped(texts, shown.width - 2 * kMargin);
  canvas.width = shown.width;
  canvas.height = shown.height + lines.length * kLine + kLegend + kMargin;
  context.fillStyle = kGround;
  context.fillRect(0, 0, canvas.width, canvas.height);
  const probe = picture.probe;
  picture.probe = null;
  picture.drawNow();
  context.drawImage(shown, 0, 0);
  picture.probe = probe;
  picture.redraw();
  context.drawImage(bar(scale, kBarWidth, 14), kMargin, shown.height + 32);
  context.fillStyle = kText;
  context.font = `15px ${kFont}`;
  context.fillText(ends[0], kMargin, shown.height + 24);
  context.fillText(`${ends[1]} – ${ends[2]}`, kMargin + kBarWidth + 12, shown.height + 45);
  context.font = `17px ${kFont}`;
  lines.forEach((line, i) => context.fillText(line, kMargin, shown.height + kLegend + kLine * (i + 0.8)));
  canvas.toBlob((blob) => hand(blob, 'board.png'), 'image/png');
}

function gradient(svg, scale) {
  const shade = add(add(svg, 'defs', {}), 'linearGradient', {id: 'scale'});
  const rgba = [0, 0, 0, 255];
  for (let i = 0; i <= kBarSteps; ++i) {
    scale.colour(scale.valueAt(i / kBarSteps), rgba);
    add(shade, 'stop', {offset: i / kBarSteps, 'stop-color': `rgb(${rgba.slice(0, 3).map(Math.round).join(',')})`});
  }
}

async function asData(canvas) {
  const blob = await canvas.convertToBlob({type: 'image/png'});
  return new Promise((done) => {
    const reader = new FileReader();
    reader.onload = () => done(reader.result);
    reader.readAsDataURL(blob);
  });
}

/**
 * The same as a drawing: the board as a picture in it, marks and words as lines and text. Holds no
 * script and refers to nothing outside itself.
 * @param layers  {pictures(context, scale), marks(context, scale)}
 */
export async function saveSvg(picture, {texts, scale, ends}, layers) {
  const {width, height} = picture.canvas;
  const lines = wrapped(texts, width - 2 * kMargin);
  const whole = height + lines.length * kLine + kLegend + kMargin;
  const svg = apartDrawing();
  svg.setAttribute('viewBox', `0 0 ${width} ${whole}`);
  svg.setAttribute('width', width);
  svg.setAttribute('height', whole);
  add(svg, 'title', {}, texts[0]);
  gradient(svg, scale);
  add(svg, 'rect', {width, height: whole, fill: kGround});
  const canvas = new OffscreenCanvas(kFiner * width, kFiner * height);
  const context = canvas.getContext('2d');
  context.setTransform(...[picture.scale, 0, 0, picture.scale, picture.x, picture.y].map((v) => kFiner * v));
  layers.pictures(context, kFiner * picture.scale);
  add(svg, 'image', {width, height, href: await asData(canvas)});
  // What lies beside the picture is cut off, as on the screen.
  const pen = new Pen(add(svg, 'svg', {width, height}));
  pen.setTransform(picture.scale, 0, 0, picture.scale, picture.x, picture.y);
  layers.marks(pen, picture.scale);
  const words = new Pen(svg);
  words.fillStyle = kText;
  words.font = `15px ${kFont}`;
  words.fillText(ends[0], kMargin, height + 24);
  words.fillText(`${ends[1]} – ${ends[2]}`, kMargin + kBarWidth + 12, height + 45);
  add(svg, 'rect', {x: kMargin, y: height + 32, width: kBarWidth, height: 14, fill: 'url(#scale)'});
  words.font = `17px ${kFont}`;
  lines.forEach((line, i) => words.fillText(line, kMargin, height + kLegend + kLine * (i + 0.8)));
  hand(new Blob([new XMLSerializer().serializeToString(svg)], {type: 'image/svg+xml'}), 'board.svg');
}
