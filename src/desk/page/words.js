// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
// The page's words, from the catalogue of the language.

let words = {};

export let language = 'en';

export async function loadWords(wanted) {
  const answer = await fetch(`words-${wanted}.json`);
  words = await answer.json();
  language = wanted;
  document.documentElement.lang = wanted;
}

/** The text of a key, its {names} filled in; the key itself where there is none. */
export function say(key, values = {}) {
  const text = words[key] ?? key;
  return text.replace(/\{(\w+)\}/g, (whole, name) => values[name] ?? whole);
}

/** A number with so many digits that count, in the language's own writing. */
export function digits(value, count = 3) {
  if (!Number.isFinite(value)) return '–';
  return new Intl.NumberFormat(language, {maximumSignificantDigits: count}).format(value);
}

export function percent(share) {
  const style = share > 0.995 || share < 0.005 ? 1 : 0;
  return new Intl.NumberFormat(language, {style: 'percent', maximumFractionDigits: style}).format(share);
}

export function watts(value) {
  if (!Number.isFinite(value)) return '–';
  if (Math.abs(value) < 0.9995) return `${digits(value * 1000)} mW`;
  return `${digits(value)} W`;
}

/** "21 mW, 11 to 41", where watts are known. */
export function wattsRange({power_w, power_low_w, power_high_w}) {
  if (!Number.isFinite(power_w)) return null;
  if (!Number.isFinite(power_low_w)) return watts(power_w);
  const milli = power_w < 0.9995;
  const plain = (w) => digits(milli ? 1000 * w : w, 2);
  return say('power_range', {power: `${plain(power_w)} ${milli ? 'mW' : 'W'}`, low: plain(power_low_w), high: plain(power_high_w)});
}

/** Puts the words where elements ask for them. */
export function sayAll(root = document) {
  for (const element of root.querySelectorAll('[data-say]')) element.textContent = say(element.dataset.say);
  for (const element of root.querySelectorAll('[data-say-label]')) {
    element.setAttribute('aria-label', say(element.dataset.sayLabel));
    if (element.tagName === 'BUTTON') element.title = say(element.dataset.sayLabel);
  }
}

/** A new element: make('p', {class: 'x'}, 'text', child). Text is text, whatever it holds. */
export function make(name, attributes = {}, ...children) {
  const element = document.createElement(name);
  for (const [key, value] of Object.entries(attributes)) {
    if (key.startsWith('on')) element.addEventListener(key.slice(2), value);
    else if (key.startsWith('aria-')) element.setAttribute(key, value);
    else if (value === true) element.setAttribute(key, '');
    else if (value !== false && value != null) element.setAttribute(key, value);
  }
  element.append(...children.filter((child) => child != null));
  return element;
}
