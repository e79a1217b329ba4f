// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
// What is seen, as a file: the picture, its scale, and what was said about it.

import {bar} from './colours.js';

const kMargin = 16;
const kLine = 26;

function wrapped(context, text, width) {
  const lines = [''];
  for (const word of text.split(/\s+/)) {
    const longer = lines.at(-1) ? `${lines.at(-1)} ${word}` : word;
    if (lines.at(-1) && context.measureText(longer).width > width) lines.push(word);
    else lines[lines.length - 1] = longer;
  }
  return lines;
}

/** @param ends  what the scale is of, its low and its high end. */
export function savePicture(picture, texts, scale, ends) {
  const shown = picture.canvas;
  const canvas = document.createElement('canvas');
  const context = canvas.getContext('2d');
  context.font = '17px system-ui, sans-serif';
  const lines = texts.flatMap((text) => wrapped(context, text, shown.width - 2 * kMargin));
  canvas.width = shown.width;
  canvas.height = shown.height + lines.length * kLine + 60 + kMargin;
  context.fillStyle = '#17181a';
  context.fillRect(0, 0, canvas.width, canvas.height);
  const probe = picture.probe;
  picture.probe = null;
  picture.drawNow();
  context.drawImage(shown, 0, 0);
  picture.probe = probe;
  picture.redraw();
  context.drawImage(bar(scale, 260, 14), kMargin, shown.height + 32);
  context.fillStyle = '#eceae6';
  context.font = '15px system-ui, sans-serif';
  context.fillText(ends[0], kMargin, shown.height + 24);
  context.fillText(`${ends[1]} – ${ends[2]}`, kMargin + 272, shown.height + 45);
  context.font = '17px system-ui, sans-serif';
  lines.forEach((line, i) => context.fillText(line, kMargin, shown.height + 60 + kLine * (i + 0.8)));
  canvas.toBlob((blob) => {
    const link = document.createElement('a');
    link.href = URL.createObjectURL(blob);
    link.download = 'board.png';
    link.click();
    setTimeout(() => URL.revokeObjectURL(link.href), 10000);
  }, 'image/png');
}
