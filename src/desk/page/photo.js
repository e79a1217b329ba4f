// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
// The case's photo: for a first look at once, whole as soon as it is there. Places in it are counted in
// its own pixels, however large the picture is that stands for it.

import {getPicture} from './api.js';

const kFirstPx = 1600;

export class Photo {
  constructor({width, height}, small) {
    this.width = width;
    this.height = height;
    this.small = small;
    this.whole = null;
    this.watchers = [];
  }

  get size() { return {width: this.width, height: this.height}; }

  /** @param scale  pixels of what is drawn on for one of the photo's. */
  draw(c, scale) {
    const fine = this.whole && scale * this.width > this.small.width * 1.2;
    c.drawImage(fine ? this.whole : this.small, 0, 0, this.width, this.height);
  }

  async fetchWhole() {
    try { this.whole = await getPicture('api/photo'); } catch { return; }  // The first look will do.
    for (const changed of this.watchers) changed();
  }
}

let kept = {stamp: null};

/**
 * @param told     what the desk says of the photo, {width, height, stamp}; nothing where there is none.
 * @param changed  called when it can be drawn finer.
 */
export async function photoOf(told, changed) {
  if (!told) return null;
  if (kept.stamp !== told.stamp) {
    kept = {stamp: told.stamp, photo: getPicture(`api/photo?most=${kFirstPx}`).then((small) => {
      const photo = new Photo(told, small);
      if (Math.max(told.width, told.height) > kFirstPx) photo.fetchWhole();
      return photo;
    })};
  }
  try {
    const photo = await kept.photo;
    photo.watchers.push(changed);
    return photo;
  } catch (error) {
    kept = {stamp: null};
    throw error;
  }
}
