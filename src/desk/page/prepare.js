// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
// What was filmed: landmarks by a click in either picture, lead contacts, the scale, parts, the levels.

import {get, getMap, post} from './api.js';
import {Boxes} from './boxes.js';
import {leadOf, partKind, regionKind} from './drawn.js';
import {greyScale, heatScale, loadColours} from './colours.js';
import {paint, View} from './maps.js';
import {photoOf} from './photo.js';
import {Picture} from './picture.js';
import {Scale} from './scale.js';
import {TimeLine} from './timeline.js';
import {digits, make, percent, say, sayAll} from './words.js';

const byId = (id) => document.getElementById(id);
const kMarkPx = 14;
const kGrabPx = 18;
const kMagnified = 6;
const kLens = 150;
// A place off by more than this many frame pixels would name the wrong part on a dense board.
const kLargeResidualPx = 1.5;

/** Strong edges light: what thermal picture and photo have in common. */
function edges(map) {
  const {width, height, values} = map;
  const out = new Float32Array(values.length);
  for (let y = 1; y < height - 1; ++y) {
    for (let x = 1; x < width - 1; ++x) {
      const i = y * width + x;
      out[i] = Math.hypot(values[i + 1] - values[i - 1], values[i + width] - values[i - width]);
    }
  }
  return {width, height, values: out};
}

export class Prepare {
  constructor(root, notice) {
    this.notice = notice;
    this.root = root;
    this.tables = null;
    this.pending = {};      // A place clicked in one picture: {frame} or {photo}.
    this.task = 'landmarks';
    this.still = 'rest';
    this.maps = {};
    this.scale = new Scale(this);
    this.boxes = {parts: new Boxes(this, partKind(this)), regions: new Boxes(this, regionKind(this))};
    this.build();
  }

  build() {
    const radio = (group, value, key, choose) => make('button', {
      role: 'radio', 'data-value': value, 'data-say': key, 'aria-checked': false, onclick: () => choose(value)});
    const picture = (id, label) => make('div', {class: 'stage'},
      make('canvas', {id, tabindex: 0, role: 'img', 'data-say-label': label}),
      make('canvas', {id: `${id}-lens`, class: 'lens', width: kLens, height: kLens, hidden: true, 'aria-hidden': 'true'}));
    this.root.replaceChildren(
      make('div', {class: 'pair'},
        make('div', {class: 'half'}, make('h2', {'data-say': 'thermal'}), picture('frame-picture', 'frame_label'),
          make('div', {class: 'choices', role: 'radiogroup', id: 'stills', 'data-say-label': 'stills'},
            radio('stills', 'rest', 'layer_rest', (v) => this.chooseStill(v)),
            radio('stills', 'rise', 'layer_rise', (v) => this.chooseStill(v)),
            radio('stills', 'edges', 'edges', (v) => this.chooseStill(v)))),
        make('div', {class: 'half'}, make('h2', {'data-say': 'photo'}), picture('photo-picture', 'photo_label'),
          make('p', {id: 'lead', role: 'status', 'aria-live': 'polite'})),
        make('div', {id: 'course'})),
      make('div', {class: 'said'},
        make('div', {class: 'choices', role: 'radiogroup', id: 'tasks', 'data-say-label': 'tasks'},
          ...['landmarks', 'contacts', 'scale', 'parts', 'regions'].map((t) => radio('tasks', t, `task_${t}`, (v) => this.chooseTask(v)))),
        make('label', {class: 'check'}, make('input', {type: 'checkbox', id: 'snap'}), make('span', {'data-say': 'snap'})),
        make('div', {class: 'ask-run'},
          make('button', {id: 'propose', 'data-say': 'propose', onclick: () => this.propose()}),
          make('button', {id: 'undo', class: 'quiet', 'data-say': 'undo', onclick: () => this.undo()})),
        make('div', {id: 'proposal'}),
        make('table', {id: 'marks'}),
        make('ul', {id: 'fit-remarks'}),
        make('div', {id: 'scale-box'}),
        make('div', {id: 'levels-box'}),
        make('div', {id: 'questions-box'})));
    const events = (side) => ({
      over: (x, y) => this.magnify(side, x, y), away: () => { byId(`${side}-picture-lens`).hidden = true; },
      click: (x, y) => this.clicked(side, x, y), grab: (x, y) => this.grab(side, x, y),
      key: (event) => this.key(event, side)});
    this.pictures = {
      frame: new Picture(byId('frame-picture'), (c, s) => this.draw('frame', c, s), events('frame')),
      photo: new Picture(byId('photo-picture'), (c, s) => this.draw('photo', c, s), events('photo'))};
    this.timeline = new TimeLine(byId('course'), (rows) => this.saveLevels(rows));
    sayAll(this.root);
    this.chooseTask('landmarks');
  }

  /** Reads the case anew; what was being set is kept. */
  async load(state) {
    if (!state.case) { this.askQuestions(state); return; }
    this.state = state;
    byId('questions-box').replaceChildren();
    const fresh = this.title !== state.case.title || !this.rest;
    await loadColours();
    [this.tables, this.rest] = await Promise.all([get('api/tables'), fresh ? getMap('api/still?of=rest') : this.rest]);
    if (fresh) {
      this.title = state.case.title;
      this.maps = {rest: this.rest, edges: edges(this.rest)};
      this.painted = {};
      this.pictures.frame.setSize({width: this.rest.width, height: this.rest.height});
      this.photo = await photoOf(state.case.photo, () => this.pictures.photo.redraw());
      if (this.photo) this.pictures.photo.setSize(this.photo.size);
      await this.chooseStill('rest');
      get('api/course').then((course) => { this.course = course; this.tellCourse(); }, (error) => this.notice(error.message));
    }
    this.tell();
    this.tellCourse();
  }

  askQuestions(state) {
    byId('questions-box').replaceChildren(make('h3', {}, say('questions')), make('p', {class: 'error'}, state.problem ?? ''),
      ...(state.questions ?? []).map((q) => make('fieldset', {}, make('legend', {}, q.text),
        ...q.files.map((file) => make('button', {onclick: () => this.set(q.key, file, state.case_version)}, file)))));
  }

  async set(key, value, version) {
    try {
      await post('api/setting', {key, value, version: version ?? this.tables.case_version});
      this.title = null;
      await this.changed();
      return true;
    } catch (error) { this.refused(error); return false; }
  }

  refused(error) {
    this.notice(error.message, error.status === 409
      ? make('button', {onclick: () => { this.notice(''); this.changed(); }}, say('look_again')) : undefined);
  }

  async chooseStill(name) {
    this.still = name;
    for (const b of byId('stills').children) b.setAttribute('aria-checked', b.dataset.value === name);
    if (!this.rest) return;
    if (name === 'rise') this.maps.rise ??= await getMap('api/still?of=rise');
    const map = this.maps[name];
    const scale = name === 'rise' ? heatScale(map) : greyScale(map);
    this.painted[name] ??= paint(map, new View({width: map.width, height: map.height}, null, null), scale.colour);
    this.pictures.frame.redraw();
  }

  chooseTask(task) {
    this.task = task;
    this.pending = {};
    this.scale.clear();
    for (const boxes of Object.values(this.boxes)) boxes.clear();
    for (const b of byId('tasks').children) b.setAttribute('aria-checked', b.dataset.value === task);
    this.tell();
  }

  view() {
    const fit = this.tables?.fit?.photo_from_frame ? this.tables.fit : this.proposed;
    if (!fit?.photo_from_frame || !this.photo) return null;
    return new View(this.photo.size, fit.photo_from_frame, fit.photo_lens);
  }

  /** What a drag draws, where it does. */
  drawn() { return this.boxes[this.task]; }

  marks() {
    if (!this.tables) return [];
    if (this.task === 'contacts') return this.tables.contacts.rows;
    if (this.drawn()) return [];
    return this.tables.landmarks.rows;
  }

  draw(side, c, scale) {
    const px = this.pictures[side].ratio / scale;
    c.imageSmoothingEnabled = true;
    if (side === 'frame' && this.painted?.[this.still]) c.drawImage(this.painted[this.still], 0, 0, this.rest.width, this.rest.height);
    if (side === 'photo') this.photo?.draw(c, scale);
    const view = this.view();
    this.marks().forEach((mark, i) => {
      let at = mark[side];
      if (!at && view && mark.frame) at = view.fromFrame(...mark.frame);
      const large = this.task === 'landmarks' && this.tables.fit.residual_px?.[i] > kLargeResidualPx;
      if (at) this.drawMark(c, at, px, mark.name ?? String.fromCharCode(65 + i % 26), large ? '#f0c46c' : '#8fd0de');
    });
    this.drawn()?.draw(side, c, px);
    for (const at of this.scale.points) if (at.side === side) this.drawMark(c, [at.x, at.y], px, '', '#ffd9a0');
    const own = this.pending[side];
    if (own) this.drawMark(c, own, px, '', '#ffd9a0');
    const other = side === 'frame' ? 'photo' : 'frame';
    if (this.pending[other] && view) {
      const guess = side === 'photo' ? view.fromFrame(...this.pending.frame) : view.toFrame(...this.pending.photo);
      c.setLineDash([5 * px, 4 * px]);
      this.drawMark(c, guess, px, '?', '#ffd9a0');
      c.setLineDash([]);
    }
  }

  // A cross that leaves its middle free.
  drawMark(c, [mx, my], px, name, colour) {
    const x = mx + 0.5, y = my + 0.5, r = kMarkPx * px;
    for (const [stroke, width] of [['#000', 4], [colour, 2]]) {
      c.strokeStyle = stroke; c.lineWidth = width * px;
      c.beginPath();
      for (const [dx, dy] of [[1, 0], [-1, 0], [0, 1], [0, -1]]) {
        c.moveTo(x + dx * r * 0.3, y + dy * r * 0.3); c.lineTo(x + dx * r, y + dy * r);
      }
      c.stroke();
    }
    c.font = `600 ${15 * px}px system-ui, sans-serif`;
    c.textAlign = 'left'; c.textBaseline = 'bottom';
    c.strokeStyle = '#000'; c.lineWidth = 4 * px; c.lineJoin = 'round';
    c.strokeText(name, x + 5 * px, y - 4 * px);
    c.fillStyle = colour;
    c.fillText(name, x + 5 * px, y - 4 * px);
  }

  magnify(side, x, y) {
    const lens = byId(`${side}-picture-lens`);
    const picture = this.pictures[side];
    if (!this.tables) return;
    lens.hidden = false;
    const c = lens.getContext('2d');
    const scale = Math.max(picture.scale / picture.ratio * kMagnified, 2);
    c.setTransform(1, 0, 0, 1, 0, 0);
    c.fillStyle = '#0e0f10'; c.fillRect(0, 0, kLens, kLens);
    c.setTransform(scale, 0, 0, scale, kLens / 2 - (x + 0.5) * scale, kLens / 2 - (y + 0.5) * scale);
    const ratio = picture.ratio;
    picture.ratio = 1;
    this.draw(side, c, scale);
    picture.ratio = ratio;
    c.setTransform(1, 0, 0, 1, 0, 0);
    c.strokeStyle = '#fff'; c.lineWidth = 1;
    c.strokeRect(0.5, 0.5, kLens - 1, kLens - 1);
    c.beginPath();
    for (const s of [-1, 1]) {
      c.moveTo(kLens / 2 + s * 6, kLens / 2); c.lineTo(kLens / 2 + s * 22, kLens / 2);
      c.moveTo(kLens / 2, kLens / 2 + s * 6); c.lineTo(kLens / 2, kLens / 2 + s * 22);
    }
    c.stroke();
    // Away from where the hand works.
    const [sx, sy] = picture.toScreen(x, y);
    lens.classList.toggle('below', sy < picture.canvas.height / 2 && sx > picture.canvas.width / 2);
  }

  grab(side, x, y) {
    if (this.task === 'scale' || !this.tables) return null;
    if (this.drawn()) return this.drawn().grab(side, x, y);
    const picture = this.pictures[side];
    const index = this.marks().findIndex((mark) => {
      const at = mark[side];
      return at && Math.hypot(at[0] - x, at[1] - y) * picture.scale < kGrabPx * picture.ratio;
    });
    if (index < 0) return null;
    const before = this.copy();
    const mark = this.marks()[index];
    const put = (px, py) => { mark[side] = [px, py]; };
    return {drag: (px, py) => { put(px, py); picture.redraw(); },
            drop: (px, py, moved) => { if (moved) { put(px, py); this.save(before); } else this.clicked(side, x, y); }};
  }

  copy() { return structuredClone(this.marks()); }

  async snapped(side, x, y) {
    if (!byId('snap').checked) return [x, y];
    try {
      const at = await get(`api/snap?in=${side}&x=${x}&y=${y}`);
      return [at.x, at.y];
    } catch { return [x, y]; }
  }

  async clicked(side, x, y) {
    if (!this.tables) return;
    const {width, height} = this.pictures[side].size;
    if (!(x > -0.5 && y > -0.5 && x < width - 0.5 && y < height - 0.5)) return;
    if (this.task === 'scale') { this.scale.clicked(side, x, y); return; }
    if (this.drawn()) { this.drawn().clicked(side, x, y); return; }
    if (this.task === 'contacts') {
      const view = this.view();
      if (side === 'photo' && !view) { this.notice(say('contact_needs_map')); return; }
      const frame = side === 'photo' ? view.toFrame(x, y) : [x, y];
      const before = this.copy();
      this.tables.contacts.rows.push({frame, name: say('lead', {number: this.tables.contacts.rows.length + 1})});
      await this.save(before);
      return;
    }
    this.pending[side] = await this.snapped(side, x, y);
    if (this.pending.frame && this.pending.photo) {
      const before = this.copy();
      this.tables.landmarks.rows.push({frame: this.pending.frame, photo: this.pending.photo});
      this.pending = {};
      await this.save(before);
    }
    this.tell();
  }

  async save(before) {
    const task = this.task;
    const table = this.tables[task];
    if (!await this.send(`api/${task}`, {version: table.version, rows: table.rows}) && before) table.rows = before;
    this.tell();
  }

  /** A change to the case's files; its tables as they are then. */
  async send(path, change) {
    try {
      this.tables = await post(path, change);
      this.tellCourse();
      return true;
    } catch (error) { this.refused(error); return false; }
  }

  async saveLevels(rows) {
    if (!await this.send('api/levels', {version: this.tables.levels.version, rows})) this.tellCourse();
    this.tell();
  }

  /** What is being set first, then what was saved last. */
  async undo() {
    if (this.pending.frame || this.pending.photo) { this.pending = {}; this.tell(); return; }
    if (this.drawn()?.busy()) { this.drawn().back(); return; }
    if (!this.tables?.undo) return;
    await this.send('api/undo', {});
    this.tell();
  }

  async remove(index) {
    const before = this.copy();
    this.marks().splice(index, 1);
    await this.save(before);
  }

  async propose() {
    byId('propose').disabled = true;
    byId('proposal').textContent = say('proposing');
    try {
      this.proposed = await post('api/propose');
      byId('proposal').replaceChildren(
        make('p', {class: this.proposed.accepted ? '' : 'error'},
             say(this.proposed.accepted ? 'proposed' : 'proposed_badly', {trust: percent(this.proposed.trust)})),
        make('button', {id: 'take', onclick: () => this.take()}, say('take')));
    } catch (error) { byId('proposal').replaceChildren(make('p', {class: 'error'}, error.message)); }
    byId('propose').disabled = false;
    this.tell();
  }

  /** The proposal as landmarks that can be dragged where they are wrong. */
  async take() {
    const view = this.view();
    if (!view) return;
    this.chooseTask('landmarks');
    const {width, height} = this.rest;
    const before = this.copy();
    for (const [u, v] of [[0.15, 0.15], [0.85, 0.15], [0.85, 0.85], [0.15, 0.85], [0.5, 0.5]]) {
      const frame = [u * (width - 1), v * (height - 1)];
      this.tables.landmarks.rows.push({frame, photo: view.fromFrame(...frame)});
    }
    byId('proposal').replaceChildren();
    await this.save(before);
  }

  key(event, side) {
    if (this.drawn()?.key(event, side)) return true;
    if (event.key === 'Backspace' || event.key === 'u') this.undo();
    else return false;
    return true;
  }

  tell() {
    byId('undo').disabled = !this.tables?.undo && !this.pending.frame && !this.pending.photo && !this.drawn()?.busy();
    byId('propose').disabled = !this.photo;
    this.pictures.frame.redraw();
    this.pictures.photo.redraw();
    if (!this.tables) return;
    byId('lead').textContent = say(this.leadKey());
    byId('marks').hidden = this.task === 'scale';
    byId('snap').parentElement.hidden = byId('propose').hidden = this.task !== 'landmarks';
    byId('scale-box').hidden = this.task !== 'scale';
    byId('fit-remarks').replaceChildren(...(this.task === 'landmarks' ? this.tables.fit.remarks ?? [] : []).map((r) => make('li', {}, r)));
    for (const [name, boxes] of Object.entries(this.boxes)) boxes.show(this.tables[name].rows, this.tables[name].board_from_frame);
    if (this.drawn()) this.drawn().list(byId('marks')); else this.tellMarks();
    this.scale.tell();
  }

  leadKey() {
    if (this.drawn()) return leadOf(this);
    if (this.task !== 'landmarks') return `lead_${this.task}`;
    if (!this.photo) return 'no_photo';
    return this.pending.frame ? 'lead_photo' : this.pending.photo ? 'lead_frame' : 'lead_either';
  }

  tellMarks() {
    const landmarks = this.task === 'landmarks';
    const residuals = this.tables.fit.residual_px ?? [];
    const mm = this.tables.mm_per_pixel;
    byId('marks').replaceChildren(
      make('caption', {}, say(landmarks ? 'marks_caption' : 'contacts_caption')),
      make('tbody', {}, ...this.marks().map((mark, i) => {
        const name = landmarks ? String.fromCharCode(65 + i % 26) : null;
        const off = residuals[i];
        return make('tr', {}, make('th', {scope: 'row'}, name ?? make('input', {
            value: mark.name, 'aria-label': say('contact_name'), maxlength: 40,
            onchange: (event) => { const before = this.copy(); mark.name = event.target.value; this.save(before); }})),
          landmarks ? make('td', {class: `number${off > kLargeResidualPx ? ' error' : ''}`}, off === undefined ? '' :
            say('residual', {px: digits(off, 2), mm: digits(off * mm, 2)})) : null,
          make('td', {class: 'number'}, make('button', {class: 'quiet', onclick: () => this.remove(i)}, say('remove'))));
      })));
  }

  /** @param supply  what the newest result says of the supply, where it is of this case. */
  found(supply) {
    this.supply = supply;
    this.tellCourse();
  }

  tellCourse() {
    if (!this.course || !this.tables) return;
    this.timeline.show(this.course, this.tables.levels.rows, this.supply);
    const {rows, table} = this.tables.levels;
    const written = rows.map((row, i) => (i && row.time_s !== undefined ? `${row.amps}@${Math.round(100 * row.time_s) / 100}` : row.amps)).join(' ');
    byId('levels-box').replaceChildren(
      this.course.supply ? make('p', {}, say('log_found')) : table ? '' : make('label', {class: 'own'}, make('span', {}, say('levels')),
        make('input', {id: 'levels', value: written, placeholder: '0 0.5@6 0@12',
          onchange: (event) => this.set('supply.levels', event.target.value)})));
  }
}
