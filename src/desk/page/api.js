// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
// Talks to the desk. All addresses are relative: the key stands in the page's own.

async function refused(answer) {
  let words = `${answer.status}`;
  try { words = (await answer.json()).error || words; } catch { /* Not our words. */ }
  const error = new Error(words);
  error.status = answer.status;
  return error;
}

export async function get(path) {
  const answer = await fetch(path);
  if (!answer.ok) throw await refused(answer);
  return answer.json();
}

export async function post(path, data = {}) {
  const answer = await fetch(path, {
    method: 'POST', headers: {'Content-Type': 'application/json'}, body: JSON.stringify(data)});
  if (!answer.ok) throw await refused(answer);
  return answer.json();
}

/** A picture of numbers: {width, height, values}. */
export async function getMap(path) {
  const answer = await fetch(path);
  if (!answer.ok) throw await refused(answer);
  const values = new Float32Array(await answer.arrayBuffer());
  return {width: +answer.headers.get('X-Width'), height: +answer.headers.get('X-Height'), values};
}

/** The photo, whole and for a first look. */
export async function getPhoto(path = 'api/photo') {
  const answer = await fetch(path);
  if (!answer.ok) throw await refused(answer);
  const blob = await answer.blob();
  const whole = await createImageBitmap(blob);
  const share = Math.min(1, 1600 / Math.max(whole.width, whole.height));
  if (share === 1) return {whole, small: whole};
  const small = await createImageBitmap(whole, {
    resizeWidth: Math.round(whole.width * share), resizeHeight: Math.round(whole.height * share),
    resizeQuality: 'high'});
  return {whole, small};
}
