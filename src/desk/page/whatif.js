// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
// What the answer becomes when something is left out, side by side with the first.

import {get, getMap, post} from './api.js';
import {paint} from './maps.js';
import {Two} from './two.js';
import {digits, language, make, percent, say} from './words.js';

const byId = (id) => document.getElementById(id);
// Two runs put the same place within about this many frame pixels.
const kSamePx = 3;

export class WhatIf {
  constructor(answer, notice) {
    this.answer = answer;
    this.notice = notice;
    this.seen = 0;
  }

  clear() {
    this.two?.close();
    this.two = null;
    this.result = null;
    this.painted = {};
    byId('two').hidden = true;
    byId('two').replaceChildren();
    byId('what-if').hidden = true;
    byId('what-if-answer').replaceChildren();
  }

  /** The things that may be left out of the case on the desk. */
  async list() {
    const {result} = this.answer;
    const {contacts} = await get('api/tables').catch(() => ({contacts: {rows: []}}));
    const box = (name, value, text) => make('label', {class: 'check'},
      make('input', {type: 'checkbox', name, value}), make('span', {}, text));
    const parts = [...new Set(result.candidates.flatMap((c) => (c.parts ?? []).map((p) => p.ref)))].slice(0, 8);
    byId('what-if').hidden = false;
    byId('what-if-form').replaceChildren(
      ...contacts.rows.map((row) => box('contacts', row.row, say('without_contact', {name: row.name}))),
      ...parts.map((ref) => box('parts', ref, say('without_part', {ref}))),
      ...(result.supply?.levels ?? []).map((level, i) => box('levels', i,
        say('without_level', {amps: digits(level.amps), from: digits(level.start_s), to: digits(level.end_s)}))),
      make('div', {class: 'row'},
        make('label', {class: 'own'}, make('span', {}, say('without_from')), make('input', {id: 'span-from', inputmode: 'decimal', size: 6})),
        make('label', {class: 'own'}, make('span', {}, say('without_to')), make('input', {id: 'span-to', inputmode: 'decimal', size: 6}))),
      make('button', {id: 'what-if-run', onclick: () => this.start()}, say('what_if_run')));
  }

  async start() {
    const chosen = (name) => [...byId('what-if-form').querySelectorAll(`[name=${name}]:checked`)].map((b) => b.value);
    const spans = chosen('levels').map((i) => {
      const {start_s, end_s} = this.answer.result.supply.levels[+i];
      return [start_s, end_s];
    });
    const [from, to] = ['span-from', 'span-to'].map((id) => parseFloat(byId(id).value.replace(',', '.')));
    if (Number.isFinite(from) && Number.isFinite(to)) spans.push([from, to]);
    try {
      await post('api/what-if', {contacts: chosen('contacts').map(Number), parts: chosen('parts'), spans});
      this.asked = true;
    } catch (error) { this.notice(error.message); }
  }

  /** Follows the second computation. */
  async look({state, share, error, number, has}) {
    const words = byId('what-if-words');
    words.classList.toggle('error', state === 'failed');
    words.textContent = state === 'running' ? say('running', {share: percent(share)})
      : state === 'failed' ? error : state === 'stopped' ? say('stopped') : '';
    if (!has || number === this.seen || !this.asked) return;
    this.seen = number;
    try { await this.load(); } catch (caught) { this.notice(caught.message); }
  }

  async load() {
    this.result = await get(`api/result?second&language=${language}`);
    this.painted = {};
    byId('two').hidden = false;
    this.two = new Two(this.answer.picture, byId('two'), [say('as_it_was'), say('left_out')]);
    await this.paintLayer(this.answer.layer);
    const place = (c, i) => (c.parts?.length ? `${i + 1} · ${c.parts[0].ref}` : say('place', {rank: i + 1}));
    const others = [...this.result.candidates];
    const rows = this.answer.result.candidates.map((c, i) => {
      const j = others.findIndex((o) => o && Math.hypot(o.frame_x - c.frame_x, o.frame_y - c.frame_y) < kSamePx);
      const other = j < 0 ? null : others[j];
      if (j >= 0) others[j] = null;
      return [place(c, i), percent(c.confidence), other ? `${place(other, j)}: ${percent(other.confidence)}` : '–'];
    });
    others.forEach((o, j) => { if (o) rows.push(['–', '', `${place(o, j)}: ${percent(o.confidence)}`]); });
    byId('what-if-answer').replaceChildren(
      make('p', {}, say(`verdict_${this.result.verdict}`)),
      make('table', {}, make('thead', {}, make('tr', {}, ...['as_it_was', '', 'left_out'].map((key) => make('th', {scope: 'col'}, key ? say(key) : '')))),
        make('tbody', {}, ...rows.map((row) => make('tr', {}, ...row.map((cell) => make('td', {}, cell)))))),
      make('button', {class: 'quiet', onclick: () => { this.two.close(); this.two = null; byId('two').hidden = true; this.answer.picture.redraw(); }}, say('only_first')));
  }

  /** In the first one's colours, so that the two can be compared. */
  async paintLayer(name) {
    if (!this.result || this.painted[name]) return;
    this.painted[name] = paint(await getMap(`api/map?of=${name}&second`), this.answer.view, this.answer.painted[name].scale.colour);
    this.answer.picture.redraw();
  }
}
