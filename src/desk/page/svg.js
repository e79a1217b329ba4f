// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
// Elements of a drawing.

const kNamespace = 'http://www.w3.org/2000/svg';

export function drawing() {
  return document.createElementNS(kNamespace, 'svg');
}

// Characters that no XML file may hold (XML 1.0, 2.2); a user's words may.
const kNoXml = /[\u0000-\u0008\u000b\u000c\u000e-\u001f\ufffe\uffff]/g;

/** One that is no part of the page: nothing in it is loaded. */
export function apartDrawing() {
  return document.implementation.createDocument(kNamespace, 'svg').documentElement;
}

export function add(svg, name, attributes, text) {
  const element = svg.ownerDocument.createElementNS(kNamespace, name);
  for (const [key, value] of Object.entries(attributes)) element.setAttribute(key, value);
  if (text !== undefined) element.textContent = String(text).replace(kNoXml, ' ');
  svg.append(element);
  return element;
}
