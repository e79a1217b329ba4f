// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
// The answer: the board with its heat, the places on it, and why.

import {get, getMap, post} from './api.js';
import {Arrows} from './arrows.js';
import {bar, greyScale, heatScale, limitScale, loadColours} from './colours.js';
import {drawCurve} from './curve.js';
import {apply, paint, valueAt, View} from './maps.js';
import {photoOf} from './photo.js';
import {Picture} from './picture.js';
import {Play} from './play.js';
import {savePng, saveSvg} from './saved.js';
import {WhatIf} from './whatif.js';
import {digits, language, make, percent, say, watts, wattsRange} from './words.js';

const byId = (id) => document.getElementById(id);
const kLayers = ['rest', 'rise', 'power', 'limit'];
const kZeroCelsius = 273.15;

export class Answer {
  constructor(notice) {
    this.notice = notice;
    this.result = null;
    this.maps = {};
    this.painted = {};
    this.layer = 'rise';
    this.chosen = 0;
    this.curveNumber = 0;
    this.picture = new Picture(byId('board'), (c, scale) => this.draw(c, scale), {
      over: (x, y) => this.tellUnder(x, y),
      away: () => { byId('under').textContent = ''; },
      click: (x, y) => this.askSpot(x, y),
      grab: (x, y) => this.arrows.grab(x, y) ?? this.whatIf.two?.grab(x) ?? null,
      key: (event) => this.key(event)});
    this.whatIf = new WhatIf(this, notice);
    this.play = new Play(this, notice);
    this.arrows = new Arrows(this.picture, byId('arrow'));
    byId('blend').addEventListener('input', () => this.picture.redraw());
    byId('whole').addEventListener('click', () => this.picture.whole());
    byId('save').addEventListener('click', () => this.save(savePng));
    byId('save-svg').addEventListener('click', () => this.save(saveSvg));
    byId('keep').addEventListener('click', () => this.keep());
    byId('against').addEventListener('change', () => this.tellReasons());
    this.clear();
  }

  clear() {
    this.whatIf.clear();
    this.arrows.clear();
    this.play.clear();
    this.result = null;
    this.maps = {};
    this.painted = {};
    this.photo = null;
    this.bare = null;
    this.bareStamp = undefined;
    this.spot = null;
    this.parts = [];
    for (const id of ['spot', 'reasons', 'advice-box', 'give', 'blending']) byId(id).hidden = true;
    for (const id of ['places', 'layers', 'legend', 'evidence', 'remarks', 'curve']) byId(id).replaceChildren();
    byId('verdict').textContent = say('no_result');
    this.picture.redraw();
  }

  /** Takes the newest result from the desk. */
  async load() {
    const [result, parts] = await Promise.all([get(`api/result?language=${language}`), get('api/parts'), loadColours()]);
    let photo = null;
    try { photo = await this.getPhoto(); } catch { /* The frame's own view will do. */ }
    this.clear();
    this.result = result;
    this.parts = parts;
    this.photo = photo;
    const onPhoto = this.photo && result.maps.photo_from_frame;
    this.view = onPhoto
      ? new View(photo.size, result.maps.photo_from_frame, result.maps.photo_lens)
      : new View({width: result.frames.width, height: result.frames.height}, null, null);
    if (!onPhoto) this.photo = null;
    this.picture.setSize(this.view.size);
    this.picture.whole();
    await this.chooseLayer('rise');
    this.listLayers();
    this.list();
    this.listGiven();
    byId('give').hidden = false;
    byId('blending').hidden = !this.photo;
    if (result.candidates.length) this.choose(0);
    this.whatIf.list();
    this.play.list();
  }

  /** The same result in the words of the page's language. */
  async translate() {
    this.result = await get(`api/result?language=${language}`);
  }

  getPhoto() { return photoOf(this.state?.case?.photo, () => this.picture.redraw()); }

  /** Before there is an answer: the board as it was filmed, and what is known of it. */
  async look(state) {
    this.state = state;
    const stamp = state.case ? state.stamp : null;
    if (this.result || state.run.has || stamp === this.bareStamp) return;
    this.bareStamp = stamp;
    this.bare = null;
    this.listGiven();
    if (!stamp) { this.picture.redraw(); return; }
    try {
      const photo = await this.getPhoto();
      const map = photo ? null : await getMap('api/still?of=rest');
      if (this.result || stamp !== this.bareStamp) return;
      const size = photo?.size ?? {width: map.width, height: map.height};
      const canvas = map ? paint(map, new View(size, null, null), greyScale(map).colour) : null;
      this.bare = (c, scale) => (photo ? photo.draw(c, scale) : c.drawImage(canvas, 0, 0, size.width, size.height));
      this.picture.setSize(size);
      this.picture.redraw();
    } catch (error) { this.notice(error.message); }
  }

  listGiven() {
    const given = this.result ? null : this.state?.case;
    byId('given').replaceChildren(...(given ? [
      say('given_frames', {count: given.count, width: given.frames.width, height: given.frames.height}),
      say(given.supply ? 'given_supply' : 'given_no_supply'),
      say(!given.photo ? 'given_no_photo' : given.landmarks ? 'given_photo' : 'given_photo_alone', {count: given.landmarks}),
      given.parts ? say('given_parts', {count: given.parts}) : say('given_no_parts')].map((text) => make('li', {}, text)) : []));
  }

  unit() { return this.result.frames.values === 'kelvin' ? 'K' : '×'; }
  relative() { return this.result.frames.values !== 'kelvin'; }

  async chooseLayer(name) {
    if (!this.painted[name]) {
      this.maps[name] ??= await getMap(`api/map?of=${name}`);
      const map = this.maps[name];
      const scale = name === 'rest' ? greyScale(map) : name === 'limit' ? limitScale(map) : heatScale(map);
      this.painted[name] = {scale, canvas: paint(map, this.view, scale.colour)};
    }
    this.play.whole();
    this.layer = name;
    for (const button of byId('layers').children) {
      const own = button.dataset.layer === name;
      button.setAttribute('aria-checked', own);
      button.tabIndex = own ? 0 : -1;
    }
    this.tellScale();
    this.picture.redraw();
    this.whatIf.paintLayer(name);
  }

  listLayers() {
    const known = kLayers.filter((name) => !this.relative() || name === 'rest' || name === 'rise');
    byId('layers').replaceChildren(...known.map((name) => make('button', {
      role: 'radio', 'aria-checked': name === this.layer, 'data-layer': name, tabindex: name === this.layer ? 0 : -1,
      onclick: () => this.chooseLayer(name),
      onkeydown: (event) => {
        const way = {ArrowRight: 1, ArrowLeft: -1}[event.key];
        if (!way) return;
        const next = known[(known.indexOf(name) + way + known.length) % known.length];
        this.chooseLayer(next);
        byId('layers').querySelector(`[data-layer=${next}]`).focus();
      }}, say(`layer_${name}`))));
  }

  amount(name, value) {
    if (name === 'rest') return this.relative() ? digits(value) : `${digits(value - kZeroCelsius)} °C`;
    if (name === 'rise') return `${digits(value)} ${this.unit()}`;
    return watts(value);
  }

  tellScale() {
    const {scale} = this.painted[this.layer];
    byId('legend').replaceChildren(
      make('span', {}, say(`layer_${this.layer}`)), bar(scale),
      make('span', {class: 'ends'}, make('span', {}, this.amount(this.layer, scale.low)),
           make('span', {}, this.amount(this.layer, scale.high))));
  }

  draw(c, scale) {
    c.imageSmoothingEnabled = true;
    if (!this.result) { this.bare?.(c, scale); return; }
    this.drawPictures(c, scale);
    this.drawMarks(c, scale);
  }

  drawPictures(c, scale) {
    const {width, height} = this.view.size;
    this.photo?.draw(c, scale);
    const lay = (canvas) => () => {
      if (!canvas) return;
      c.globalAlpha = this.photo ? byId('blend').value / 100 : 1;
      c.drawImage(canvas, 0, 0, width, height);
      c.globalAlpha = 1;
    };
    const first = lay(this.play.canvas ?? this.painted[this.layer]?.canvas);
    if (this.whatIf.two) this.whatIf.two.draw(c, first, lay(this.whatIf.painted[this.layer]));
    else first();
  }

  drawMarks(c, scale) {
    this.whatIf.two?.marks(c);
    this.drawPlaces(c, scale);
    this.arrows.draw(c, this.picture.ratio / scale);
  }

  placeAt(candidate) {
    const [x, y] = this.view.fromFrame(candidate.frame_x, candidate.frame_y);
    return [x + 0.5, y + 0.5];
  }

  drawPlaces(c, scale) {
    const px = this.picture.ratio / scale;  // One pixel of the screen.
    this.result.candidates.forEach((candidate, index) => {
      const [x, y] = this.placeAt(candidate);
      const own = index === this.chosen;
      const radius = (own ? 17 : 12) * px;
      for (const [colour, width] of [['#000', 5], [own ? '#8fd0de' : '#fff', own ? 3 : 2]]) {
        c.beginPath(); c.arc(x, y, radius, 0, 7);
        c.strokeStyle = colour; c.lineWidth = width * px; c.stroke();
      }
      c.font = `600 ${15 * px}px system-ui, sans-serif`;
      c.textAlign = 'left'; c.textBaseline = 'middle';
      c.lineWidth = 4 * px; c.strokeStyle = '#000'; c.lineJoin = 'round';
      const words = own && candidate.parts?.length ? `${index + 1} · ${candidate.parts[0].ref}` : `${index + 1}`;
      c.strokeText(words, x + radius + 4 * px, y);
      c.fillStyle = own ? '#bdeaf3' : '#fff';
      c.fillText(words, x + radius + 4 * px, y);
    });
    if (this.spot) {
      const [x, y] = [this.spot[0] + 0.5, this.spot[1] + 0.5];
      for (const [colour, width] of [['#000', 5], ['#ffd9a0', 2.5]]) {
        c.beginPath();
        c.moveTo(x - 9 * px, y - 9 * px); c.lineTo(x + 9 * px, y + 9 * px);
        c.moveTo(x + 9 * px, y - 9 * px); c.lineTo(x - 9 * px, y + 9 * px);
        c.strokeStyle = colour; c.lineWidth = width * px; c.stroke();
      }
    }
  }

  partAt(fx, fy) {
    return this.parts.find(({corners}) => corners.every(([x0, y0], i) => {
      const [x1, y1] = corners[(i + 1) % 4];
      const [x2, y2] = corners[(i + 2) % 4];
      const side = (x, y) => (x1 - x0) * (y - y0) - (y1 - y0) * (x - x0);
      return side(fx, fy) * side(x2, y2) >= 0;
    }))?.ref;
  }

  async needMap(name) {
    if (this.maps[name] || this.asked?.[name]) return;
    (this.asked ??= {})[name] = true;
    try { this.maps[name] ??= await getMap(`api/map?of=${name}`); } catch { /* Of relative frames there is none. */ }
  }

  tellUnder(x, y) {
    if (!this.result) return;
    for (const name of this.relative() ? ['rest', 'rise'] : kLayers) this.needMap(name);
    const [fx, fy] = this.view.toFrame(x, y);
    const said = [];
    const of = (name) => (this.maps[name] ? valueAt(this.maps[name], fx, fy) : NaN);
    const part = this.partAt(fx, fy);
    if (part) said.push(part);
    if (Number.isFinite(of('rest')) && !this.relative()) {
      said.push(say('under_temp', {celsius: digits(of('rest') - kZeroCelsius)}));
    }
    if (Number.isFinite(of('rise'))) {
      // What the noise alone makes is no warmth.
      const seen = of('rise') > 2 * (this.result.noise?.response_k ?? 0);
      said.push(seen ? say('under_rise', {rise: this.amount('rise', of('rise'))}) : say('under_cool'));
    }
    if (Number.isFinite(of('power'))) said.push(say('under_power', {power: watts(Math.max(0, of('power')))}));
    if (Number.isFinite(of('limit'))) said.push(say('under_limit', {limit: watts(of('limit'))}));
    const {width, height} = this.result.frames;
    const inside = fx > -0.5 && fy > -0.5 && fx < width - 0.5 && fy < height - 0.5;
    if (!inside) said.push(say('under_photo_none'));
    else if (this.result.maps.board_from_frame) {
      const [bx, by] = apply(this.result.maps.board_from_frame, fx, fy);
      said.push(say('under_board', {x: bx.toFixed(1), y: by.toFixed(1)}));
    } else said.push(say('under_frame', {x: fx.toFixed(1), y: fy.toFixed(1)}));
    byId('under').textContent = said.join(' · ');
  }

  list() {
    const {result} = this;
    byId('verdict').textContent = say(`verdict_${result.verdict}`);
    byId('places').replaceChildren(...result.candidates.map((candidate, index) => {
      const parts = candidate.parts ?? [];
      const others = parts.slice(1, 3).map((p) => `${p.ref} ${percent(p.probability)}`).join(', ');
      const name = candidate.contact ? say('lead_contact', {name: candidate.contact})
        : parts.length ? parts[0].ref : say('place', {rank: index + 1});
      const more = [
        `${digits(candidate.rise_k)} ${this.unit()}`,
        parts.length ? (others ? say('or', {parts: others}) : null) : say('no_part'),
        candidate.share_of_supply ? say('of_supply', {share: percent(candidate.share_of_supply)}) : null];
      const fill = make('i');
      fill.style.width = `${100 * candidate.confidence}%`;
      return make('li', {}, make('button', {'aria-pressed': false, onclick: () => this.choose(index)},
        make('span', {class: 'rank'}, `${index + 1}`), make('span', {class: 'name'}, name),
        make('span', {class: 'chance'}, percent(candidate.confidence)),
        make('span', {class: 'bar'}, fill),
        make('span', {class: 'power'}, wattsRange(candidate)),
        make('span', {class: 'more'}, more.filter(Boolean).join(' · '))));
    }));
    byId('advice-box').hidden = !result.advice?.length;
    byId('advice').replaceChildren(...(result.advice ?? []).map((line) => make('li', {}, line)));
  }

  choose(index) {
    const candidate = this.result?.candidates[index];
    if (!candidate) return;
    this.chosen = index;
    this.spot = null;
    [...byId('places').querySelectorAll('button')].forEach((button, i) => button.setAttribute('aria-pressed', i === index));
    this.picture.show(...this.placeAt(candidate));
    const others = this.result.candidates.map((_, i) => i).filter((i) => i !== index);
    byId('against').replaceChildren(
      ...others.map((i) => make('option', {value: i}, this.nameOf(i))),
      make('option', {value: ''}, say('nothing_else')));
    byId('reasons').hidden = false;
    this.tellReasons();
    const points = (candidate.growth ?? []).map((g) => [g.time_s, g.amps, g.rise_k, g.fit_k, g.fit_sigma_k]);
    this.showCurve(say('place_head', {rank: index + 1}),
                   points.length > 2 ? {seen: true, points, exponent: candidate.current_exponent,
                                        exponent_sigma: candidate.current_exponent_sigma, snr: candidate.snr} : null);
    this.picture.redraw();
  }

  nameOf(index) {
    const part = this.result.candidates[index].parts?.[0]?.ref;
    return part ? `${index + 1} · ${part}` : say('place', {rank: index + 1});
  }

  tellReasons() {
    const own = this.result.candidates[this.chosen];
    const number = byId('against').value;
    const other = number === '' ? null : this.result.candidates[+number];
    const factors = new Map();
    for (const [side, candidate] of [own, other].entries()) {
      for (const {name, factor} of candidate?.evidence ?? []) {
        if (!factors.has(name)) factors.set(name, [1, 1]);
        factors.get(name)[side] = factor;
      }
    }
    const weight = ([a, b]) => Math.abs(Math.log(Math.max(a, 1e-12)) - (other ? Math.log(Math.max(b, 1e-12)) : 0));
    const rows = [...factors].sort((a, b) => weight(b[1]) - weight(a[1]));
    byId('evidence').replaceChildren(
      make('caption', {}, say('factor_note')),
      make('thead', {}, make('tr', {}, make('th', {scope: 'col'}, say('asked')),
        make('th', {scope: 'col', class: 'number'}, this.nameOf(this.chosen)),
        other ? make('th', {scope: 'col', class: 'number'}, this.nameOf(+number)) : null)),
      make('tbody', {}, ...rows.map(([name, [a, b]]) => make('tr', {}, make('td', {}, name),
        make('td', {class: 'number'}, `× ${digits(a, 2)}`),
        other ? make('td', {class: 'number'}, `× ${digits(b, 2)}`) : null))));
    byId('remarks').replaceChildren(...(own.remarks ?? []).map((line) => make('li', {}, line)));
  }

  async askSpot(x, y) {
    if (!this.result) return;
    // On a place's ring the place is meant.
    const near = this.result.candidates.findIndex((candidate) => {
      const [px, py] = this.placeAt(candidate);
      return Math.hypot(px - x - 0.5, py - y - 0.5) * this.picture.scale < 17 * this.picture.ratio;
    });
    if (near >= 0) { this.choose(near); return; }
    const [fx, fy] = this.view.toFrame(x, y);
    this.spot = [x, y];
    this.picture.redraw();
    const number = ++this.curveNumber;
    try {
      const curve = await get(`api/curve?x=${fx}&y=${fy}`);
      if (number === this.curveNumber) this.showCurve(say('spot_head', {x: fx.toFixed(1), y: fy.toFixed(1)}), curve);
    } catch (error) { this.notice(error.message); }
  }

  showCurve(head, curve) {
    byId('spot').hidden = !curve;
    if (!curve) return;
    ++this.curveNumber;
    byId('spot-head').textContent = head;
    if (!curve.seen) {
      byId('curve').replaceChildren();
      byId('curve-words').textContent = say('curve_unseen');
      return;
    }
    byId('curve').replaceChildren(drawCurve(curve.points, this.unit()));
    byId('curve-words').textContent = curve.snr < 4 || !Number.isFinite(curve.exponent)
      ? say('curve_noise')
      : say('curve_words', {exponent: digits(curve.exponent), sigma: digits(1.96 * curve.exponent_sigma, 2)});
  }

  key(event) {
    if (!this.result) return false;
    if (/^[1-9]$/.test(event.key)) this.choose(+event.key - 1);
    else if (event.key === 'l' || event.key === 'L') {
      const names = [...byId('layers').children].map((b) => b.dataset.layer);
      this.chooseLayer(names[(names.indexOf(this.layer) + 1) % names.length]);
    } else if (event.key === '[' || event.key === ']') {
      byId('blend').value = +byId('blend').value + (event.key === ']' ? 10 : -10);
      this.picture.redraw();
    } else if (event.key === 'a' && this.picture.probe) {
      this.arrows.pointAt(this.picture.probe);
    } else return false;
    return true;
  }

  /** @param write  savePng or saveSvg. */
  async save(write) {
    const candidate = this.result.candidates[this.chosen];
    const texts = [byId('title').textContent, byId('verdict').textContent];
    if (candidate) {
      const parts = (candidate.parts ?? []).map((p) => `${p.ref} ${percent(p.probability)}`).join(', ');
      texts.push([this.nameOf(this.chosen), percent(candidate.confidence), wattsRange(candidate), parts].filter(Boolean).join(' · '));
    }
    if (byId('own-words').value) texts.push(byId('own-words').value);
    const {scale} = this.painted[this.layer];
    const ends = [say(`layer_${this.layer}`), this.amount(this.layer, scale.low), this.amount(this.layer, scale.high)];
    try {
      await write(this.picture, {texts, scale, ends}, {
        pictures: (c, s) => this.drawPictures(c, s), marks: (c, s) => this.drawMarks(c, s)});
      this.notice(say('saved'));
    } catch (error) { this.notice(error.message); }
  }

  async keep() {
    try {
      const {folder} = await post('api/keep');
      this.notice(say('kept', {folder}));
    } catch (error) { this.notice(error.message); }
  }
}
