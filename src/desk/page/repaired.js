// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
// Is it repaired? Two captures of one board, one view, one scale.

import {get, getMap, post} from './api.js';
import {bar, heatScale, loadColours} from './colours.js';
import {paint, View} from './maps.js';
import {photoOf} from './photo.js';
import {Picture} from './picture.js';
import {Two} from './two.js';
import {digits, language, make, percent, say, sayAll, watts} from './words.js';

const byId = (id) => document.getElementById(id);

export class Repaired {
  constructor(root, notice) {
    this.notice = notice;
    this.seen = 0;
    root.replaceChildren(
      make('div', {class: 'view'},
        make('div', {class: 'stage'}, make('canvas', {id: 'both', tabindex: 0, role: 'img', 'data-say-label': 'both_label'}),
          make('div', {id: 'both-legend', class: 'legend', 'aria-hidden': 'true'})),
        make('div', {class: 'controls', id: 'both-two'})),
      make('div', {class: 'said'},
        make('p', {'data-say': 'repaired_ask'}),
        make('label', {class: 'own'}, make('span', {'data-say': 'after_case'}), make('select', {id: 'after-case'})),
        make('div', {class: 'ask-run'}, make('button', {id: 'compare', class: 'main', 'data-say': 'compare', onclick: () => this.start()})),
        make('p', {id: 'compare-words', role: 'status', 'aria-live': 'polite'}),
        make('h2', {id: 'compare-verdict', hidden: true}), make('ul', {id: 'compare-said'}), make('table', {id: 'compare-places'})));
    this.picture = new Picture(byId('both'), (c, scale) => this.draw(c, scale), {
      grab: (x) => this.two?.grab(x) ?? null});
    sayAll(root);
  }

  shelf(shelf) {
    if (byId('after-case').options.length === shelf.length - 1 && this.open === shelf.findIndex((e) => e.open)) return;
    this.open = shelf.findIndex((entry) => entry.open);
    byId('after-case').replaceChildren(...shelf.flatMap((entry, i) => (entry.open ? [] : [make('option', {value: i}, entry.name)])));
  }

  async start() {
    try { await post('api/compare', {number: Number(byId('after-case').value)}); } catch (error) { this.notice(error.message); }
  }

  async look({state, share, error, number, has}) {
    byId('compare').disabled = state === 'running';
    byId('compare-words').textContent = state === 'running' ? say('running', {share: percent(share)}) : state === 'failed' ? error : '';
    if (!has || number === this.seen) return;
    this.seen = number;
    try { await this.load(); } catch (caught) { this.notice(caught.message); }
  }

  async load() {
    await loadColours();
    const result = await get(`api/compared?language=${language}`);
    byId('compare-verdict').hidden = false;
    byId('compare-verdict').textContent = `${say(`repair_${result.verdict}`)} (${percent(result.probability)})`;
    byId('compare-said').replaceChildren(...result.words.map((line) => make('li', {}, line)));
    byId('compare-places').replaceChildren(
      make('thead', {}, make('tr', {}, ...['where', 'before', 'after', 'change'].map((key) => make('th', {scope: 'col'}, say(key))))),
      make('tbody', {}, ...result.places.map((place) => make('tr', {}, ...[
        `${place.name}${place.parts[0] ? ` · ${place.parts[0].ref}` : ''}`, watts(place.before_w ?? NaN),
        place.after_below_w !== undefined && place.after_w === undefined ? `< ${watts(place.after_below_w)}` : watts(place.after_w ?? NaN),
        say(`change_${place.change}`)].map((cell) => make('td', {}, cell))))));
    if (!result.maps) return;
    const [before, after] = await Promise.all([getMap('api/compared-map?of=before'), getMap('api/compared-map?of=after')]);
    const photo = result.photo_from_frame ? await photoOf(this.told, () => this.picture.redraw()).catch(() => null) : null;
    const view = photo ? new View(photo.size, result.photo_from_frame, null)
      : new View({width: before.width, height: before.height}, null, null);
    // One scale for both, or the picture would lie about what has changed.
    const larger = before.values.reduce((m, v) => (v > m ? v : m), 0) > after.values.reduce((m, v) => (v > m ? v : m), 0) ? before : after;
    const scale = heatScale(larger);
    this.shown = {photo, view, places: result.places, painted: [paint(before, view, scale.colour), paint(after, view, scale.colour)]};
    byId('both-legend').replaceChildren(make('span', {}, say('layer_rise')), bar(scale),
      make('span', {class: 'ends'}, make('span', {}, '0 K'), make('span', {}, `${digits(scale.high)} K`)));
    this.two?.close();
    this.two = new Two(this.picture, byId('both-two'), [say('before'), say('after')]);
    this.picture.setSize(view.size);
    this.picture.whole();
  }

  draw(c, scale) {
    if (!this.shown) return;
    const {photo, view, painted, places} = this.shown;
    const {width, height} = view.size;
    const layer = (canvas) => () => {
      photo?.draw(c, scale);
      c.globalAlpha = photo ? 0.8 : 1;
      c.drawImage(canvas, 0, 0, width, height);
      c.globalAlpha = 1;
    };
    this.two.draw(c, layer(painted[0]), layer(painted[1]));
    this.two.marks(c);
    const px = this.picture.ratio / scale;
    c.font = `600 ${15 * px}px system-ui, sans-serif`;
    c.textAlign = 'left'; c.textBaseline = 'middle'; c.lineJoin = 'round';
    for (const place of places) {
      const [x, y] = view.fromFrame(place.frame_x, place.frame_y).map((v) => v + 0.5);
      for (const [colour, wide] of [['#000', 5], ['#fff', 2]]) {
        c.beginPath(); c.arc(x, y, 13 * px, 0, 7); c.strokeStyle = colour; c.lineWidth = wide * px; c.stroke();
      }
      c.strokeStyle = '#000'; c.lineWidth = 4 * px; c.fillStyle = '#fff';
      c.strokeText(place.name, x + 17 * px, y); c.fillText(place.name, x + 17 * px, y);
    }
  }
}
