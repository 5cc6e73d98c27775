// Opens a report.html in a headless Chromium and looks for what a reader must never meet: console errors, network
// requests, accessibility violations (axe-core, level A and AA, light and dark), figures that are missing or empty, a
// page wider than its window, text that is cut or lies on other text (found by geometry) at 400, 1000 and 1400 px; a
// page longer than 10 000 px at 1400 or longer than 12 pages in print; an axis with a place for 0 that does not say 0;
// a first screen without the whole matrix of measures. Leaves screenshots and the print as PDF in the given folder.
// Usage: node page.mjs MODULES REPORT FOLDER NAME [FIGURES]; figures parted by commas, those of a campaign unless said. With
// FIGURES accessibility rules are looked at in the widest window only: what they ask does not depend on the width.
import { createRequire } from 'node:module';
import { readFileSync, statSync } from 'node:fs';
import { pathToFileURL } from 'node:url';
const [modules, report, folder, name = 'page', wanted] = process.argv.slice(2);
const require = createRequire(pathToFileURL(modules + '/'));
const { chromium } = require('playwright-core');
const axe = readFileSync(require.resolve('axe-core/axe.min.js'), 'utf8');
const OF_A_CAMPAIGN = ['gas', 'mass', 'length', 'door', 'hours', 'dust', 'havens', 'margin', 'margin-ways', 'drivers', 'drivers-hours', 'paths'];
const FIGURES = wanted ? wanted.split(',') : OF_A_CAMPAIGN;
const TALLEST = 10000;
const PAGES = 12;
const PRINTED = 703; // px of an A4 page between margins of 12 mm
const wrong = [];
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

async function look(colorScheme, width) {
  const view = `${name}-${colorScheme}-${width}`;
  const context = await browser.newContext({ bypassCSP: true, colorScheme, viewport: { width, height: 900 } });
  const page = await context.newPage();
  const url = pathToFileURL(report).href;
  page.on('console', (m) => { if (['error', 'warning'].includes(m.type())) wrong.push(`${view}: console: ${m.text()}`); });
  page.on('pageerror', (e) => wrong.push(`${view}: ${e}`));
  page.on('request', (r) => { if (r.url() !== url && !r.url().startsWith('data:')) wrong.push(`${view}: request ${r.url()}`); });
  await page.goto(url);
  const found = await page.evaluate(geometry, [FIGURES, width < 1400]);
  found.forEach((f) => wrong.push(`${view}: ${f}`));
  const tall = await page.evaluate(() => document.documentElement.scrollHeight);
  if (width === 1400 && tall > TALLEST) wrong.push(`${view}: ${tall} px, more than ${TALLEST}`);
  await page.screenshot({ path: `${folder}/${view}.png`, fullPage: true });
  // All that can be unfolded is looked at too: what the accessibility rules ask does not depend on the width.
  await page.evaluate(() => document.querySelectorAll('details').forEach((d) => { d.open = true; }));
  const wide = await page.evaluate(() => [document.documentElement.scrollWidth, innerWidth]);
  if (wide[0] > wide[1]) wrong.push(`${view}: unfolded page is ${wide[0]} px wide in ${wide[1]}`);
  if (wanted && width < 1400) { await context.close(); return { rules: 0, tall }; }
  if (width < 1400) await page.evaluate(() => document.querySelectorAll('details').forEach((d) => { d.open = false; }));
  await page.evaluate(axe);
  const { violations, passes } = await page.evaluate(() => window.axe.run(document, {
    runOnly: { type: 'tag', values: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa'] },
  }));
  for (const v of violations) {
    wrong.push(`${view}: ${v.id} (${v.impact}): ${v.help}; ${v.nodes.length} times, first ${v.nodes[0].html.slice(0, 200)} ${v.nodes[0].failureSummary}`);
  }
  if (passes.length < 15) wrong.push(`${view}: only ${passes.length} accessibility rules found something to look at`);
  await context.close();
  return { rules: passes.length, tall };
}

let rules = 0;
const heights = [];
for (const scheme of ['light', 'dark']) {
  for (const width of [400, 1000, 1400]) {
    const seen = await look(scheme, width);
    rules = seen.rules;
    if (scheme === 'light') heights.push(`${width}: ${seen.tall} px`);
  }
}

// Print: how many pages, nothing wider than the paper, of the assumptions only those that decide.
const context = await browser.newContext({ colorScheme: 'dark', viewport: { width: PRINTED, height: 900 } });
const page = await context.newPage();
await page.goto(pathToFileURL(report).href);
await page.emulateMedia({ media: 'print' });
const printed = await page.evaluate(() => {
  const bad = [];
  if (document.documentElement.scrollWidth > innerWidth) bad.push(`it is ${document.documentElement.scrollWidth} px wide`);
  const shown = [...document.querySelectorAll('#assumptions table')].filter((t) => t.checkVisibility());
  const rows = shown.reduce((n, t) => n + t.rows.length, 0);
  if (rows > 40) bad.push(`${rows} rows of assumptions are printed`);
  for (const e of document.querySelectorAll('#tables, #findings, nav')) if (e.checkVisibility()) bad.push(`${e.id || 'nav'} is printed`);
  for (const e of document.querySelectorAll('.why .reasons')) if (!e.checkVisibility({ contentVisibilityAuto: true })) bad.push('a reason is not printed');
  for (const e of document.querySelectorAll('.matrix th,.matrix td,.row-name')) if (e.checkVisibility() && e.scrollWidth > e.clientWidth + 1 && getComputedStyle(e).position !== 'absolute') bad.push(`"${e.textContent.slice(0, 40)}" is cut`);
  return bad;
});
printed.forEach((f) => wrong.push(`${name}: print: ${f}`));
const pdf = `${folder}/${name}.pdf`;
await page.pdf({ path: pdf, format: 'A4', margin: { top: '14mm', bottom: '14mm', left: '12mm', right: '12mm' } });
const pages = (readFileSync(pdf, 'latin1').match(/\/Type\s*\/Page\b(?!s)/g) ?? []).length;
if (pages < 2 || pages > PAGES) wrong.push(`${name}: the print has ${pages} pages, at most ${PAGES} are wanted`);
const bytes = statSync(pdf).size;
if (bytes < 50000) wrong.push(`${name}: the print is only ${bytes} bytes`);
await browser.close();
if (wrong.length > 0) {
  console.error(wrong.join('\n'));
  process.exit(1);
}
console.log(`${name}: 6 views (${heights.join(', ')}), ${FIGURES.length} figures, ${rules} accessibility rules passed, print of ${pages} pages`);
