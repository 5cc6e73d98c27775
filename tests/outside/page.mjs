// Opens each report.html in a headless Chromium and looks for what a reader must never meet: console errors, network
// requests, accessibility violations (axe-core, level A and AA, light and dark, at every width), figures that are missing or
// empty, a page wider than its window, text that is cut or lies on other text (found by geometry) at 400, 1000 and 1400 px; a
// page longer than 10 000 px at 1400 or longer than 12 pages in print; an axis with a place for 0 that does not say 0;
// a first screen without the whole matrix of measures. Leaves screenshots and the print as PDF in the given folder.
// Usage: node page.mjs MODULES FOLDER NAME=REPORT[=FIGURES]...; figures parted by commas, those of a campaign unless said.
// Reports are looked at two at a time, whatever is wrong with another; what was found in one is shown whole.
import { createRequire } from 'node:module';
import { readFileSync, statSync } from 'node:fs';
import { pathToFileURL } from 'node:url';
const [modules, folder, ...reports] = process.argv.slice(2);
const require = createRequire(pathToFileURL(modules + '/'));
const { chromium } = require('playwright-core');
const axe = readFileSync(require.resolve('axe-core/axe.min.js'), 'utf8');
const OF_A_CAMPAIGN = ['gas', 'mass', 'length', 'door', 'hours', 'dust', 'havens', 'margin', 'margin-ways', 'drivers', 'drivers-hours', 'paths'];
const VIEWS = ['light', 'dark'].flatMap((colorScheme) => [400, 1000, 1400].map((width) => ({ colorScheme, width })));
const TALLEST = 10000;
const PAGES = 12;
const PRINTED = 703; // px of an A4 page between margins of 12 mm
const AT_A_TIME = 2;
const PATIENCE = 120000; // ms, of a machine that does much else
const browser = await chromium.launch({
  executablePath: '/usr/bin/chromium',
  args: ['--no-sandbox', '--disable-gpu', '--disable-background-networking', '--disable-component-update', '--disable-sync'],
});

// What geometry says, in the page.
function geometry([figures, narrow]) {
  const bad = [];
  const seen = (e) => { const b = e.getBoundingClientRect(); return b.width > 1 && b.height > 1 && e.checkVisibility(); };
  for (const f of figures) {
    const figure = document.querySelector(`figure#fig-${f}`);
    if (!figure) { bad.push(`figure ${f} is missing`); continue; }
    if (figure.classList.contains('absent')) {
      if (!figure.querySelector('.note')?.textContent) bad.push(`figure ${f} is absent without a reason`);
      continue;
    }
    if (!/\w.*\.$/.test(figure.querySelector('figcaption p')?.textContent ?? '')) bad.push(`figure ${f} does not say what to see`);
    for (const p of figure.querySelectorAll('.plot')) {
      if (!p.querySelector('[id$="-t"]')?.textContent || !p.querySelector('[id$="-d"]')?.textContent) bad.push(`figure ${f} says nothing to those who do not see it`);
      const ticks = [...p.querySelectorAll('.axis text')].map((t) => t.textContent);
      if (p.querySelector('.zero') && !ticks.some((t) => /^0( |$)/.test(t))) bad.push(`figure ${f}: 0 is not labelled among ${ticks}`);
      if (ticks.length < 2) bad.push(`figure ${f} has no axis`);
    }
    if (!figure.querySelector('details table')) bad.push(`figure ${f} has no table of its numbers`);
  }
  // What was seen too seldom has no bar, no mark and no cell that would rank it.
  for (const f of document.querySelectorAll('figure')) {
    const said = f.querySelector('figcaption')?.textContent ?? '';
    if (/too few to draw|Not seen in any campaign/.test(said) && f.querySelector('svg')) bad.push(`${f.id} is drawn though it says: ${said}`);
  }
  // Text in pictures: inside its figure and the window, on no other text of the same strip, and sound.
  for (const s of document.querySelectorAll('svg.chart')) {
    if (!seen(s)) continue;
    const home = (s.closest('figure') ?? document.documentElement).getBoundingClientRect();
    const texts = [...s.querySelectorAll('text')].filter(seen);
    const boxes = texts.map((t) => t.getBoundingClientRect());
    boxes.forEach((b, i) => {
      const what = `"${texts[i].textContent}" of ${s.closest('figure')?.id ?? 'the matrix'}`;
      if (b.right > innerWidth + 0.5 || b.left < -0.5) bad.push(`${what} leaves the window`);
      if (b.right > home.right + 0.5 || b.left < home.left - 0.5) bad.push(`${what} leaves its figure`);
      if (/NaN|inf|undefined|\u2026$/.test(texts[i].textContent)) bad.push(`${what} is no text`);
      boxes.slice(i + 1).forEach((o, k) => {
        const wide = Math.min(b.right, o.right) - Math.max(b.left, o.left);
        const tall = Math.min(b.bottom, o.bottom) - Math.max(b.top, o.top);
        if (wide > 1 && tall > 3) bad.push(`${what} lies on "${texts[i + 1 + k].textContent}"`);
      });
    });
  }
  // Text of the page: nothing wider than its box, nothing beyond the window, nothing on its neighbour.
  const boxed = '.row-name,.said,.matrix th,.matrix td,.legend li,.chains p,.sentences p,.sentences h3,h1,h2,h3,h4,figcaption p,.headline,summary,dd,nav a';
  for (const e of document.querySelectorAll(boxed)) {
    const head = e.closest('thead,caption,h2');
    if (!seen(e) || e.closest('.scroll') || (head && getComputedStyle(head).position === 'absolute')) continue;
    const b = e.getBoundingClientRect();
    const what = `"${e.textContent.trim().slice(0, 60)}"`;
    if (e.scrollWidth > e.clientWidth + 1 && e.clientWidth > 0) bad.push(`${what} is cut: ${e.scrollWidth} px in ${e.clientWidth}`);
    if (b.right > innerWidth + 0.5 || b.left < -0.5) bad.push(`${what} leaves the window`);
  }
  for (const row of document.querySelectorAll('.plot .row:not(.axis)')) {
    const [label, strip] = [row.querySelector('.row-name'), row.querySelector('svg')].map((e) => e.getBoundingClientRect());
    const beside = strip.left >= label.right - 0.5;
    if (!beside && strip.top < label.bottom - 0.5) bad.push(`the strip of "${row.textContent}" lies on its name`);
  }
  if (document.documentElement.scrollWidth > innerWidth) bad.push(`page is ${document.documentElement.scrollWidth} px wide in ${innerWidth}`);
  const ids = [...document.querySelectorAll('[id]')].map((e) => e.id);
  for (const id of new Set(ids)) if (ids.filter((i) => i === id).length > 1) bad.push(`id ${id} twice`);
  if (!narrow) {
    const matrix = document.querySelector('#answer .matrix');
    if (!matrix) return bad;
    const measures = matrix.querySelector('tbody').getBoundingClientRect();
    if (measures.bottom > 900) bad.push(`the first screen ends before the matrix of measures, at ${measures.bottom} px`);
    const bars = matrix.querySelectorAll('tbody:first-of-type tr').length;
    if (bars < 3) bad.push(`the matrix has only ${bars} rows`);
  }
  return bad;
}

// Nine of ten elements are cells of long tables whose rows differ in their text alone, and accessibility rules would take
// minutes for them. Each row is told its look in the present view, in the page: elements, attributes, whatever styles can
// change of them for a rule, and whether there is no text, one letter (which axe-core does not judge) or more.
function rows_told_their_look() {
  const styles = ['display', 'visibility', 'position', 'opacity', 'color', 'backgroundColor', 'backgroundImage', 'textShadow', 'fontSize', 'fontWeight'];
  const looks = (window.looks ??= new Map());
  for (const row of document.querySelectorAll('tbody tr')) {
    let look = '';
    for (const e of [row, ...row.querySelectorAll('*')]) {
      const style = getComputedStyle(e);
      const letters = [...e.childNodes].filter((n) => n.nodeType === Node.TEXT_NODE).reduce((sum, n) => sum + n.data.trim().length, 0);
      const attributes = [...e.attributes].map((a) => `${a.name}="${a.value}"`);
      look += `<${e.tagName} ${attributes} ${styles.map((s) => style[s])} ${Math.min(letters, 2)}>`;
    }
    if (!looks.has(look)) looks.set(look, looks.size);
    (row.looks ??= []).push(looks.get(look));
  }
}

// Leaves what is in the first of the rows of a table that looked the same in every view: a rule that the others break, it
// breaks. They stay as empty places, so that styles that count rows mean the same rows as before.
function rows_that_look_alike_emptied() {
  for (const body of document.querySelectorAll('tbody:not(:has([rowspan]))')) {
    const kept = new Set();
    for (const row of body.rows) {
      const look = row.looks.join();
      if (kept.has(look)) {
        row.replaceChildren();
        row.style.display = 'none';
      }
      kept.add(look);
    }
  }
}

// All that can be unfolded, or no more than what was unfolded when the page was opened.
const unfold = (page, all) => page.evaluate((open) => {
  for (const d of document.querySelectorAll('details')) {
    d.at_first ??= d.open;
    d.open = open || d.at_first;
  }
}, all);

async function turn(page, { colorScheme, width }) {
  await page.emulateMedia({ colorScheme });
  await page.setViewportSize({ width, height: 900 });
}

// What a reader sees in one view, as it opens and then with all that can be unfolded.
async function look(page, name, figures, view, wrong) {
  const { width } = view;
  await turn(page, view);
  wrong.push(...await page.evaluate(geometry, [figures, width < 1400]));
  const tall = await page.evaluate(() => document.documentElement.scrollHeight);
  if (width === 1400 && tall > TALLEST) wrong.push(`${tall} px, more than ${TALLEST}`);
  await page.screenshot({ path: `${folder}/${name}-${view.colorScheme}-${width}.png`, fullPage: true });
  await unfold(page, true);
  const wide = await page.evaluate(() => [document.documentElement.scrollWidth, innerWidth]);
  if (wide[0] > wide[1]) wrong.push(`unfolded page is ${wide[0]} px wide in ${wide[1]}`);
  await page.evaluate(rows_told_their_look);
  await unfold(page, false);
  return tall;
}

// Accessibility rules in one view: in the widest all that can be unfolded is looked at too.
async function rules(page, view, wrong) {
  await turn(page, view);
  await unfold(page, view.width === 1400);
  const { violations, passed } = await page.evaluate(async () => {
    const { violations, passes } = await window.axe.run(document, {
      runOnly: { type: 'tag', values: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa'] },
      resultTypes: ['violations'], // of what holds only the number of rules is wanted
    });
    return { violations, passed: passes.length };
  });
  for (const v of violations) {
    wrong.push(`${v.id} (${v.impact}): ${v.help}; ${v.nodes.length} times, first ${v.nodes[0].html.slice(0, 200)} ${v.nodes[0].failureSummary}`);
  }
  if (passed < 15) wrong.push(`only ${passed} accessibility rules found something to look at`);
  return passed;
}

// Print: how many pages, nothing wider than the paper, of the assumptions only those that decide.
async function print(page, name, wrong) {
  await turn(page, { colorScheme: 'dark', width: PRINTED });
  await page.emulateMedia({ media: 'print' });
  wrong.push(...await page.evaluate(() => {
    const bad = [];
    if (document.documentElement.scrollWidth > innerWidth) bad.push(`it is ${document.documentElement.scrollWidth} px wide`);
    const shown = [...document.querySelectorAll('#assumptions table')].filter((t) => t.checkVisibility());
    const rows = shown.reduce((n, t) => n + t.rows.length, 0);
    if (rows > 40) bad.push(`${rows} rows of assumptions are printed`);
    for (const e of document.querySelectorAll('#tables, #findings, nav')) if (e.checkVisibility()) bad.push(`${e.id || 'nav'} is printed`);
    for (const e of document.querySelectorAll('.why .reasons')) if (!e.checkVisibility({ contentVisibilityAuto: true })) bad.push('a reason is not printed');
    for (const e of document.querySelectorAll('.matrix th,.matrix td,.row-name')) if (e.checkVisibility() && e.scrollWidth > e.clientWidth + 1 && getComputedStyle(e).position !== 'absolute') bad.push(`"${e.textContent.slice(0, 40)}" is cut`);
    return bad;
  }));
  const path = `${folder}/${name}.pdf`;
  await page.pdf({ path, format: 'A4', margin: { top: '14mm', bottom: '14mm', left: '12mm', right: '12mm' } });
  await page.emulateMedia({ media: null });
  const pages = (readFileSync(path, 'latin1').match(/\/Type\s*\/Page\b(?!s)/g) ?? []).length;
  if (pages < 2 || pages > PAGES) wrong.push(`it has ${pages} pages, at most ${PAGES} are wanted`);
  const bytes = statSync(path).size;
  if (bytes < 50000) wrong.push(`it is only ${bytes} bytes`);
  return pages;
}

// One report in all views and in print: what is wrong with it, and a line that says what was looked at.
async function whole(name, report, figures) {
  const wrong = [];
  const context = await browser.newContext();
  context.setDefaultTimeout(PATIENCE);
  const page = await context.newPage();
  const url = pathToFileURL(report).href;
  let where = 'opened';
  const within = async (place, part) => {
    const bad = [];
    where = place;
    const answer = await part(bad);
    wrong.push(...bad.map((b) => `${name}: ${place}: ${b}`));
    return answer;
  };
  page.on('console', (m) => { if (['error', 'warning'].includes(m.type())) wrong.push(`${name}: ${where}: console: ${m.text()}`); });
  page.on('pageerror', (e) => wrong.push(`${name}: ${where}: ${e}`));
  page.on('request', (r) => { if (r.url() !== url && !r.url().startsWith('data:')) wrong.push(`${name}: ${where}: request ${r.url()}`); });
  await page.goto(url);
  const heights = [];
  for (const view of VIEWS) {
    const tall = await within(`${view.colorScheme} ${view.width}`, (bad) => look(page, name, figures, view, bad));
    if (view.colorScheme === 'light') heights.push(`${view.width}: ${tall} px`);
  }
  const pages = await within('print', (bad) => print(page, name, bad));
  await page.evaluate(rows_that_look_alike_emptied);
  await page.evaluate(axe);
  let passed = 0;
  for (const view of VIEWS) passed = await within(`${view.colorScheme} ${view.width}`, (bad) => rules(page, view, bad));
  await context.close();
  const line = `${name}: ${VIEWS.length} views (${heights.join(', ')}), ${figures.length} figures, ${passed} accessibility rules passed, print of ${pages} pages`;
  return { wrong, line };
}

let failed = false;
async function worker() {
  while (reports.length > 0) {
    const [name, report, figures] = reports.shift().split('=');
    const { wrong, line } = await whole(name, report, figures ? figures.split(',') : OF_A_CAMPAIGN);
    failed ||= wrong.length > 0;
    console.log(wrong.length > 0 ? wrong.join('\n') : line);
  }
}
await Promise.all(Array.from({ length: AT_A_TIME }, worker));
await browser.close();
process.exit(failed ? 1 : 0);
