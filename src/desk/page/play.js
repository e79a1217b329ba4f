// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
// The warming in time: a slider, and playing it.

import {get, getMap} from './api.js';
import {paint} from './maps.js';
import {digits, make, say} from './words.js';

const byId = (id) => document.getElementById(id);
const kMostPx = 700;   // Of a moving picture; a still one is finer.
const kLeastMs = 80;

export class Play {
  constructor(answer, notice) {
    this.answer = answer;
    this.notice = notice;
    this.slider = make('input', {id: 'moment', type: 'range', min: 0, max: 1, value: 0, oninput: () => this.show()});
    this.button = make('button', {id: 'play', onclick: () => this.run(!this.running)});
    byId('film').replaceChildren(this.button, this.slider, make('span', {id: 'moment-words'}));
    this.say();
  }

  say() {
    this.slider.setAttribute('aria-label', say('moment'));
    this.button.textContent = say(this.running ? 'play_stop' : 'play');
  }

  clear() {
    this.run(false);
    this.canvas = null;
    byId('film').hidden = true;
  }

  async list() {
    const {time_s, amps} = await get('api/film');
    this.times = time_s;
    this.amps = amps;
    this.slider.max = time_s.length - 1;
    this.slider.value = time_s.length - 1;
    byId('moment-words').textContent = '';
    byId('film').hidden = false;
  }

  /** The picture of the moment, in the colours of the whole warming. */
  async show() {
    if (this.busy) { this.again = true; return; }
    this.busy = true;
    try {
      const bin = +this.slider.value;
      if (this.answer.layer !== 'rise') await this.answer.chooseLayer('rise');
      const map = await getMap(`api/film-picture?bin=${bin}`);
      this.canvas = paint(map, this.answer.view, this.answer.painted.rise.scale.colour, kMostPx);
      byId('moment-words').textContent = say('moment_words', {time: digits(this.times[bin], 4), amps: digits(this.amps[bin])});
      this.answer.picture.redraw();
    } catch (error) { this.notice(error.message); this.running = false; }
    this.busy = false;
    if (this.again) { this.again = false; this.show(); }
  }

  async run(on) {
    this.running = on;
    this.say();
    if (!on) return;
    if (+this.slider.value >= +this.slider.max) this.slider.value = 0;
    while (this.running && +this.slider.value < +this.slider.max) {
      const began = performance.now();
      this.slider.value = +this.slider.value + 1;
      await this.show();
      await new Promise((done) => setTimeout(done, Math.max(0, kLeastMs - (performance.now() - began))));
    }
    this.running = false;
    this.say();
  }

  /** Back to the whole warming. */
  whole() {
    if (!this.canvas) return;
    this.running = false;
    this.canvas = null;
    byId('moment-words').textContent = '';
  }
}
