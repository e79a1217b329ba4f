// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
// The customer's page: what was done, who says it, as it will look, and as a PDF.

import {get, post} from './api.js';
import {make, say, sayAll} from './words.js';

const byId = (id) => document.getElementById(id);
const kLines = ['name', 'address', 'phone', 'mail'];
const kWaitMs = 600;

export class Tell {
  constructor(root, notice) {
    this.root = root;
    this.notice = notice;
    const line = (key) => make('label', {class: 'own'}, make('span', {'data-say': `shop_${key}`}),
      make('input', {id: `shop-${key}`, maxlength: 200, oninput: () => { this.shopChanged = true; this.changed(); },
                     onchange: () => this.saveShop()}));  // The page may be closed before the wait is over.
    const pick = (id, key, options) => make('label', {class: 'own'}, make('span', {'data-say': key}),
      make('select', {id, onchange: () => this.changed()},
        ...options.map(([value, text, words]) => make('option', {value, 'data-say': words ?? null}, words ? '' : text))));
    root.replaceChildren(
      make('div', {class: 'preview', tabindex: 0, role: 'region', 'data-say-label': 'ask_tell'}, make('p', {id: 'sheet-none', 'data-say': 'no_result'}),
        make('img', {id: 'sheet', hidden: true, 'data-say-label': 'sheet_label', alt: ''})),
      make('div', {class: 'said'},
        make('label', {class: 'own'}, make('span', {'data-say': 'notes'}),
          make('textarea', {id: 'notes', rows: 6, maxlength: 3000, oninput: () => this.changed()})),
        ...kLines.map(line),
        make('div', {class: 'row'},
          pick('sheet-language', 'sheet_language', [['en', 'English'], ['de', 'Deutsch']]),
          pick('sheet-paper', 'sheet_paper', [['a4', 'A4'], ['letter', 'Letter']]),
          pick('sheet-unit', 'sheet_unit', [['c', '°C'], ['f', '°F']])),
        make('p', {id: 'sheet-fit', class: 'error', role: 'status', 'aria-live': 'polite'}),
        make('button', {id: 'pdf', class: 'main', 'data-say': 'pdf', disabled: true, onclick: () => this.save()})));
    byId('sheet-language').addEventListener('change', () => { this.ownLanguage = true; });
    sayAll(root);
  }

  /** The shop's lines, as this user has them on this machine. */
  async begin() {
    try {
      const shop = await get('api/shop');
      for (const key of kLines) byId(`shop-${key}`).value = shop[key];
    } catch (error) { this.notice(error.message); }
  }

  /** The customer's page speaks as this one does, unless another language was chosen for it. */
  follow(language) {
    if (this.ownLanguage) return;
    byId('sheet-language').value = language;
    if (!this.root.hidden) this.preview();
  }

  wanted(form) {
    const out = {form, notes: byId('notes').value, language: byId('sheet-language').value,
                 paper: byId('sheet-paper').value, unit: byId('sheet-unit').value};
    for (const key of kLines) out[key] = byId(`shop-${key}`).value;
    return out;
  }

  async ask(form) {
    const answer = await fetch('api/sheet', {method: 'POST', headers: {'Content-Type': 'application/json'},
                                             body: JSON.stringify(this.wanted(form))});
    if (!answer.ok) throw new Error((await answer.json()).error);
    return answer;
  }

  /** A new result, or none. */
  load(result) {
    this.result = result;
    byId('pdf').disabled = !result;
    byId('sheet-none').hidden = !!result;
    byId('sheet').hidden = !result;
    if (result && !this.root.hidden) this.preview();
  }

  changed() {
    clearTimeout(this.timer);
    this.timer = setTimeout(() => { this.saveShop(); this.preview(); }, kWaitMs);
  }

  async saveShop() {
    if (!this.shopChanged) return;
    this.shopChanged = false;
    try {
      await post('api/shop', Object.fromEntries(kLines.map((key) => [key, byId(`shop-${key}`).value])));
    } catch (error) { this.notice(error.message); }
  }

  async preview() {
    if (!this.result) return;
    try {
      const answer = await this.ask('png');
      const picture = await createImageBitmap(await answer.blob());
      // Drawn, not linked: the page's own rules let no picture in that is not the desk's file.
      const canvas = make('canvas', {id: 'sheet', width: picture.width, height: picture.height, role: 'img',
                                     'aria-label': say('sheet_label')});
      canvas.getContext('2d').drawImage(picture, 0, 0);
      byId('sheet').replaceWith(canvas);
      byId('sheet-fit').textContent = answer.headers.get('X-Fits') === 'no' ? say('sheet_cut') : '';
    } catch (error) { this.notice(error.message); }
  }

  async save() {
    try {
      const link = document.createElement('a');
      link.href = URL.createObjectURL(await (await this.ask('pdf')).blob());
      link.download = 'page.pdf';
      link.click();
      setTimeout(() => URL.revokeObjectURL(link.href), 10000);
    } catch (error) { this.notice(error.message); }
  }
}
