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

/** A picture of colours. */
export async function getPicture(path) {
  const answer = await fetch(path);
  if (!answer.ok) throw await refused(answer);
  return createImageBitmap(await answer.blob());
}
