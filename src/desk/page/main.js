// SPDX-FileCopyrightText: The ohmglow authors
// SPDX-License-Identifier: Apache-2.0
// The page: which question is looked at, what the desk is doing.

import {Answer} from './answer.js';
import {get, post} from './api.js';
import {Prepare} from './prepare.js';
import {Repaired} from './repaired.js';
import {Shelf} from './shelf.js';
import {Tell} from './tell.js';
import {loadWords, make, percent, say, sayAll} from './words.js';

const byId = (id) => document.getElementById(id);
const kQuestions = ['prepare', 'answer', 'repaired', 'tell'];
const kRunningMs = 300;
const kIdleMs = 2000;

let answer = null;
let prepare = null;
let tell = null;
let repaired = null;
let sheets = null;
let onShelf = false;  // Another case is being chosen.
let prepared = null;  // Stamp of the case as 'prepare' has read it.
let shown = -1;      // Number of the result on the page.
let stamp = null;    // Of the case that it was made from.
let ended = false;
let state = null;

function notice(text, action) {
  const box = byId('notice');
  box.replaceChildren(text, ...(action ? [action] : []));
  box.hidden = !text;
  clearTimeout(notice.timer);
  if (text && !action) notice.timer = setTimeout(() => { box.hidden = true; }, 8000);
}

function choose(question) {
  if (question === 'prepare' && state) freshen();
  for (const name of kQuestions) {
    byId(name).hidden = name !== question;
    const tab = byId(`ask-${name}`);
    tab.setAttribute('aria-selected', name === question);
    tab.tabIndex = name === question ? 0 : -1;
  }
  if (question === 'tell') tell?.preview();
}

// The case as it is now, where it is being prepared.
async function freshen() {
  if (prepared === (state.stamp ?? state.problem)) return;
  prepared = state.stamp ?? state.problem;
  try { await prepare.load(state); } catch (error) { notice(error.message); }
}

function showShelf(shelf) {
  const isOpen = shelf.some((entry) => entry.open);
  byId('others').hidden = !isOpen;
  byId('ask-repaired').hidden = !isOpen || shelf.length < 2;
  const choosing = shelf.length > 0 && (!isOpen || onShelf);
  byId('shelf').hidden = !choosing;
  byId('questions').hidden = choosing;
  for (const name of kQuestions) {
    byId(name).hidden = choosing || byId(`ask-${name}`).getAttribute('aria-selected') !== 'true';
  }
  repaired.shelf(shelf);
  if (choosing) sheets.look(shelf, state.sheets);
}

function showRun({state: standing, share, error}, hasCase) {
  const running = standing === 'running';
  byId('run').hidden = running;
  byId('run').disabled = !hasCase;
  byId('run').textContent = say(shown > 0 ? 'run_again' : 'run');
  byId('stop').hidden = !running;
  byId('share').hidden = !running;
  byId('share').value = share;
  const words = byId('run-words');
  words.classList.toggle('error', standing === 'failed');
  if (running) words.textContent = byId('stop').disabled ? say('stopping') : say('running', {share: percent(share)});
  else if (standing === 'failed') words.textContent = error;
  else if (standing === 'stopped') words.textContent = say('stopped');
  else words.textContent = shown > 0 && stamp !== state.stamp ? say('stale') : '';
  if (!running) byId('stop').disabled = false;
}

async function look() {
  clearTimeout(look.timer);
  try {
    state = await get('api/state');
  } catch {
    if (!ended) notice(say('lost'), document.createElement('span'));
    look.timer = setTimeout(look, kIdleMs);
    return;
  }
  byId('title').textContent = state.case?.title || 'ohmglow';
  document.title = state.case?.title || 'ohmglow desk';
  showShelf(state.shelf);
  showRun(state.run, !!state.case);
  if (state.problem) byId('run-words').textContent = say('case_problem', {why: state.problem});
  repaired.told = state.case?.photo;
  answer.look(state);
  answer.whatIf.look(state.second);
  repaired.look(state.compared);
  if (!byId('prepare').hidden) freshen();
  if (!state.run.has && shown > 0) { shown = -1; answer.clear(); tell.load(null); prepare.found(null); }
  if (state.run.has && state.run.number !== shown) {
    shown = state.run.number;
    stamp = state.stamp;
    try { await answer.load(); } catch (error) { notice(error.message); }
    tell.load(answer.result);
    prepare.found(answer.result?.supply);
    showRun(state.run, !!state.case);
  }
  const runs = [state.run, state.second, state.compared, state.sheets].some((each) => each.state === 'running');
  look.timer = setTimeout(look, runs ? kRunningMs : kIdleMs);
}

async function setLanguage(language) {
  await loadWords(language);
  sayAll();
  prepare?.tell();
  prepare?.tellCourse();
  answer?.play.say();
  sheets?.list();
  tell?.follow(language);
  answer?.listGiven();
  if (repaired?.seen) await repaired.load().catch((error) => notice(error.message));
  if (answer?.result) {
    await answer.translate().catch((error) => notice(error.message));
    answer.whatIf.list(); answer.listLayers(); answer.tellScale(); answer.list(); answer.choose(answer.chosen);
  }
}

async function begin() {
  const wanted = localStorage.getItem('language') ?? navigator.language.slice(0, 2);
  byId('language').value = wanted === 'de' ? 'de' : 'en';
  await setLanguage(byId('language').value);
  answer = new Answer(notice);
  prepare = new Prepare(byId('prepare'), notice);
  prepare.changed = look;
  tell = new Tell(byId('tell'), notice);
  tell.follow(byId('language').value);
  tell.begin();
  repaired = new Repaired(byId('repaired'), notice);
  sheets = new Shelf(notice, look, () => { onShelf = false; choose('answer'); look(); });
  byId('others').addEventListener('click', () => { onShelf = true; showShelf(state.shelf); });
  kQuestions.forEach((name) => {
    byId(`ask-${name}`).addEventListener('click', () => choose(name));
    byId(`ask-${name}`).addEventListener('keydown', (event) => {
      const way = {ArrowRight: 1, ArrowLeft: -1}[event.key];
      if (!way) return;
      const open = kQuestions.filter((each) => !byId(`ask-${each}`).hidden);
      const next = open[(open.indexOf(name) + way + open.length) % open.length];
      choose(next);
      byId(`ask-${next}`).focus();
    });
  });
  choose('answer');
  byId('language').addEventListener('change', async () => {
    localStorage.setItem('language', byId('language').value);
    await setLanguage(byId('language').value);
    look();
  });
  byId('run').addEventListener('click', async () => {
    byId('stop').disabled = false;
    try { await post('api/run'); } catch (error) { notice(error.message); }
    look();
  });
  byId('stop').addEventListener('click', async () => {
    byId('stop').disabled = true;
    await post('api/stop');
    look();
  });
  byId('end').addEventListener('click', async () => {
    ended = true;
    try { await post('api/end'); } catch { /* It may be gone before it answers. */ }
    clearTimeout(look.timer);
    document.querySelector('main').replaceChildren(make('p', {id: 'ended'}, say('ended')));
    notice('');
  });
  await look();
  document.body.dataset.ready = 'yes';
}

begin();
