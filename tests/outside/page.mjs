// Opens report.html in a headless Chromium and looks for what a reader must never meet: console errors, network
// requests, accessibility violations (axe-core, level A and AA, light and dark), figures that are missing or empty,
// a page wider than its window at 400 and 1400 px. Leaves screenshots and the print as PDF in the given folder.
// Usage: node page.mjs MODULES REPORT FOLDER
import { createRequire } from 'node:module';
import { readFileSync, statSync } from 'node:fs';
import { pathToFileURL } from 'node:url';
const [modules, report, folder] = process.argv.slice(2);
const require = createRequire(pathToFileURL(modules + '/'));
const { chromium } = require('playwright-core');
const axe = readFileSync(require.resolve('axe-core/axe.min.js'), 'utf8');
const FIGURES = ['gas', 'mass', 'length', 'door', 'hours', 'dust', 'havens', 'margin', 'margin-ways', 'drivers', 'drivers-hours', 'paths'];
const wrong = [];
const browser = await chromium.launch({
  executablePath: '/usr/bin/chromium',
  args: ['--no-sandbox', '--disable-gpu', '--disable-background-networking', '--disable-component-update', '--disable-sync'],
});

async function look(colorScheme, width) {
  const name = `${colorScheme}-${width}`;
  const context = await browser.newContext({ bypassCSP: true, colorScheme, viewport: { width, height: 900 } });
  const page = await context.newPage();
  const url = pathToFileURL(report).href;
  page.on('console', (m) => { if (['error', 'warning'].includes(m.type())) wrong.push(`${name}: console: ${m.text()}`); });
  page.on('pageerror', (e) => wrong.push(`${name}: ${e}`));
  page.on('request', (r) => { if (r.url() !== url && !r.url().startsWith('data:')) wrong.push(`${name}: request ${r.url()}`); });
  await page.goto(url);
  const found = await page.evaluate((figures) => {
    const bad = [];
    for (const f of figures) {
      const figure = document.getElementById(`fig-${f}`)?.closest('figure') ?? document.querySelector(`figure#fig-${f}`);
      if (!figure) { bad.push(`figure ${f} is missing`); continue; }
      const absent = figure.classList.contains('absent');
      if (absent) { if (!figure.querySelector('.note')?.textContent) bad.push(`figure ${f} is absent without a reason`); continue; }
      const charts = [...figure.querySelectorAll('svg.chart')].filter((s) => !s.closest('details:not([open])'));
      if (charts.length === 0 && !figure.querySelector('.note')) bad.push(`figure ${f} has no picture`);
      for (const s of charts) {
        const box = s.getBoundingClientRect();
        if (box.width < 200 || box.height < 40) bad.push(`figure ${f} is ${box.width} x ${box.height}`);
        if (!s.querySelector('title')?.textContent || !s.querySelector('desc')?.textContent) bad.push(`figure ${f} says nothing to those who do not see it`);
        for (const t of s.querySelectorAll('text')) {
          const b = t.getBoundingClientRect();
          if (b.right > innerWidth + 0.5 || b.left < -0.5) bad.push(`figure ${f}: "${t.textContent}" leaves the window`);
          if (t.textContent.includes('NaN') || t.textContent.includes('inf')) bad.push(`figure ${f}: "${t.textContent}"`);
        }
      }
      if (!figure.querySelector('details table')) bad.push(`figure ${f} has no table of its numbers`);
    }
    if (document.documentElement.scrollWidth > innerWidth) bad.push(`page is ${document.documentElement.scrollWidth} px wide in ${innerWidth}`);
    const ids = [...document.querySelectorAll('[id]')].map((e) => e.id);
    for (const id of ids) if (ids.filter((i) => i === id).length > 1) bad.push(`id ${id} twice`);
    return bad;
  }, FIGURES);
  found.forEach((f) => wrong.push(`${name}: ${f}`));
  await page.screenshot({ path: `${folder}/${name}.png`, fullPage: true });
  // All that can be unfolded is looked at too: what the accessibility rules ask does not depend on the width.
  await page.evaluate(() => document.querySelectorAll('details').forEach((d) => { d.open = true; }));
  const wide = await page.evaluate(() => [document.documentElement.scrollWidth, innerWidth]);
  if (wide[0] > wide[1]) wrong.push(`${name}: unfolded page is ${wide[0]} px wide in ${wide[1]}`);
  if (width < 1000) await page.evaluate(() => document.querySelectorAll('details').forEach((d) => { d.open = false; }));
  await page.evaluate(axe);
  const { violations, passes } = await page.evaluate(() => window.axe.run(document, {
    runOnly: { type: 'tag', values: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa'] },
  }));
  for (const v of violations) {
    wrong.push(`${name}: ${v.id} (${v.impact}): ${v.help}; ${v.nodes.length} times, first ${v.nodes[0].html.slice(0, 200)} ${v.nodes[0].failureSummary}`);
  }
  if (passes.length < 15) wrong.push(`${name}: only ${passes.length} accessibility rules found something to look at`);
  await context.close();
  return passes.length;
}

let rules = 0;
for (const scheme of ['light', 'dark']) for (const width of [400, 1400]) rules = await look(scheme, width);
const context = await browser.newContext({ colorScheme: 'dark' });
const page = await context.newPage();
await page.goto(pathToFileURL(report).href);
await page.pdf({ path: `${folder}/print.pdf`, format: 'A4', margin: { top: '14mm', bottom: '14mm', left: '12mm', right: '12mm' } });
const bytes = statSync(`${folder}/print.pdf`).size;
if (bytes < 50000) wrong.push(`the print is only ${bytes} bytes`);
await browser.close();
if (wrong.length > 0) {
  console.error(wrong.join('\n'));
  process.exit(1);
}
console.log(`4 views, ${FIGURES.length} figures, ${rules} accessibility rules passed, print of ${bytes} bytes`);
