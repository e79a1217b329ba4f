// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
// A folder of many cases: the contact sheet, made from here; each case opens on the desk.

import {get, post} from './api.js';
import {make, percent, say, wattsRange} from './words.js';

const byId = (id) => document.getElementById(id);

export class Shelf {
  /** @param changed, opened  called once something was asked for; once a case was chosen. */
  constructor(notice, changed, opened) {
    this.notice = notice;
    this.changed = changed;
    this.opened = opened;
    this.cases = [];
    this.told = {};
    this.number = -1;
    byId('sheet-all').addEventListener('click', () => this.ask('api/contact-sheet'));
    byId('sheet-stop').addEventListener('click', () => this.ask('api/stop'));
  }

  async ask(path) {
    try { await post(path); } catch (error) { this.notice(error.message); }
    this.changed();
  }

  /** @param standing  of the contact sheet that is being made. */
  async look(cases, {state, share, error, number}) {
    const running = state === 'running';
    byId('sheet-all').hidden = running;
    byId('sheet-stop').hidden = byId('sheet-share').hidden = !running;
    byId('sheet-share').value = share;
    const words = byId('sheet-words');
    words.classList.toggle('error', state === 'failed');
    words.textContent = running ? say('sheet_running', {done: Math.round(share * cases.length), all: cases.length})
      : state === 'failed' ? error : state === 'stopped' ? say('sheet_stopped') : '';
    const same = number === this.number && cases.length === this.cases.length;
    this.cases = cases;
    if (same) return;
    this.number = number;
    this.told = await get('api/contact-sheet').catch(() => ({}));
    this.list();
  }

  list() {
    byId('sheet-all').textContent = say(Object.keys(this.told).length ? 'sheet_again' : 'sheet_all');
    byId('shelf-list').replaceChildren(...this.cases.map((entry, number) => make('li', {},
      make('button', {onclick: () => this.open(number)}, ...this.card(entry.name, number, this.told[entry.on_sheet])))));
  }

  card(name, number, told) {
    const folder = make('span', {class: 'more'}, name);
    if (!told) return [make('span', {class: 'name'}, name)];
    const picture = told.picture ? make('img', {src: `api/thumbnail?number=${number}&of=${this.number}`, alt: '', loading: 'lazy'}) : null;
    if (told.error) return [make('span', {class: 'name'}, told.title || name), make('span', {class: 'error'}, told.error), folder];
    const {first} = told;
    // The part is what one looks for.
    const place = first && told.verdict !== 'none' ? `${first.ref ?? say('place', {rank: 1})} · ${percent(first.confidence)}` : null;
    return [picture, make('span', {class: 'name'}, place ?? say(`verdict_${told.verdict}`)),
      place ? make('span', {class: 'power'}, [say(`verdict_${told.verdict}`), wattsRange(first)].filter(Boolean).join(' · ')) : null,
      make('span', {}, told.title), folder];
  }

  async open(number) {
    try {
      await post('api/choose', {number});
      this.opened();
    } catch (error) { this.notice(error.message); }
  }
}
