// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
// What boxes on the pictures can say: a part's name, a surface's emissivity.

import {digits, say} from './words.js';

const number = (text) => Number(text.trim().replace(',', '.'));

function saver(host, path, table) {
  return async (change) => {
    const saved = await host.send(path, {version: host.tables[table].version, ...change});
    host.tell();
    return saved;
  };
}

/** For Boxes. @param host  the pictures with the case's tables. */
export function partKind(host) {
  return {
    words: 'parts', mode: 'text', label: (row) => row.ref, typed: (row) => row.ref, said: (text) => ({ref: text.trim()}),
    check: (text) => (text.trim() ? '' : say('parts_field')),
    // What must be known before a part can be drawn is said in its place.
    ready: () => ['board', 'frame'].includes(host.tables.parts.ground), save: saver(host, 'api/part', 'parts')};
}

export function regionKind(host) {
  return {
    words: 'regions', mode: 'decimal', typed: (row) => digits(row.emissivity), said: (text) => ({emissivity: number(text)}),
    label: (row) => [row.name, digits(row.emissivity)].filter(Boolean).join(' '),
    check: (text) => (number(text) > 0 && number(text) <= 1 ? '' : say('regions_bad')),
    ready: () => host.tables.regions.used, save: saver(host, 'api/region', 'regions')};
}

/** The key of what to do next. */
export function leadOf(host) {
  const {task} = host;
  if (host.boxes[task].first) return 'lead_corner';
  if (task === 'regions') return host.tables.regions.used ? 'lead_regions' : 'lead_regions_none';
  const {ground} = host.tables.parts;
  return ['board', 'frame'].includes(ground) ? 'lead_parts' : `lead_parts_${ground}`;
}
