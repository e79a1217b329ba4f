// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
// The scale of the thermal picture: two places of known distance.

import {digits, make, say} from './words.js';

const byId = (id) => document.getElementById(id);

export class Scale {
  /** @param host  the pictures: view(), notice(), tell(), set(key, value), tables. */
  constructor(host) {
    this.host = host;
    this.points = [];
  }

  clear() { this.points = []; }

  clicked(side, x, y) {
    const view = this.host.view();
    if (side === 'photo' && !view) { this.host.notice(say('contact_needs_map')); return; }
    if (this.points.length === 2) this.points = [];
    this.points.push({side, x, y, frame: side === 'photo' ? view.toFrame(x, y) : [x, y]});
    this.host.tell();
    if (this.points.length === 2) byId('distance')?.focus();
  }

  tell() {
    const [a, b] = this.points;
    const box = byId('scale-box');
    if (!a || !b) {
      box.replaceChildren(make('p', {}, say('scale_now', {mm: digits(this.host.tables.mm_per_pixel, 4)})));
      return;
    }
    const distance = Math.hypot(a.frame[0] - b.frame[0], a.frame[1] - b.frame[1]);
    const set = async () => {
      const mm = Number(byId('distance').value.replace(',', '.'));
      if (!(mm > 0) || !(distance > 1)) { this.host.notice(say('scale_bad')); return; }
      if (await this.host.set('board.mm_per_pixel', (mm / distance).toPrecision(5))) this.host.chooseTask('scale');
    };
    box.replaceChildren(
      make('label', {class: 'own'}, make('span', {}, say('distance', {px: digits(distance, 4)})),
        make('input', {id: 'distance', inputmode: 'decimal', onkeydown: (event) => { if (event.key === 'Enter') set(); }})),
      make('button', {onclick: set}, say('set')));
  }
}
