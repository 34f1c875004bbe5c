// Measures the page in Chromium and holds it to its limits: how much is loaded
// first, when something is seen, how fast passes follow a dragged corner, and
// whether memory grows. Prints a line per figure; ends with 1 when one is over.
//   node bench-page.mjs       EVENFALL names the program, CHROMIUM the browser
import { spawn } from 'node:child_process';
import { mkdtempSync, readFileSync, readdirSync, rmSync } from 'node:fs';
import { loadavg, tmpdir } from 'node:os';
import { join } from 'node:path';
import { chromium } from '@playwright/test';

const program = process.env.EVENFALL ?? new URL('../../evenfall', import.meta.url).pathname;
const browserPath = process.env.CHROMIUM ?? '/usr/bin/chromium';
const listen = process.env.EVENFALL_LISTEN ?? '127.0.0.1:8398';
const site = `http://${listen}`;
const flags = ['--headless', '--no-sandbox', '--disable-gpu', '--disable-quic', '--no-first-run',
  '--disable-background-networking', '--disable-component-update', '--disable-sync'];

const laptop = { width: 1440, height: 900 };
const slowdown = 4; // times slower a processor than this one
const paints = 7; // loads from which the median is taken
const warmUp = 60; // drags before any is timed: the browser is still compiling
const drags = 500; // in a round
const rounds = 3; // what one round adds or gives back by chance is more than a leak that matters

let over = 0;

/** Prints one figure beside its limit. */
function say(what, value, limit, unit) {
  const held = value <= limit;
  if (!held) over++;
  console.log(`${what.padEnd(58)} ${value.toFixed(unit === 'MB' ? 3 : 1).padStart(9)} ${unit.padEnd(3)} limit ${String(limit).padStart(5)}  ${held ? 'held' : 'OVER'}`);
}

const median = (all) => [...all].sort((a, b) => a - b)[all.length >> 1];
const quantile = (all, share) => [...all].sort((a, b) => a - b)[Math.min(all.length - 1, Math.floor(share * all.length))];

async function serve(folder) {
  const server = spawn(program, ['serve', '--demo', '--data', join(folder, 'bench.db'), '--listen', listen], { stdio: ['ignore', 'ignore', 'ignore'] });
  for (let tries = 0; tries < 100; tries++) {
    const up = await fetch(`${site}/api/v1/properties`).then((reply) => reply.ok, () => false);
    if (up) return server;
    await new Promise((done) => setTimeout(done, 100));
  }
  server.kill();
  throw new Error(`${program} does not answer at ${site}`);
}

const troubles = [];

/** A page without anything kept from before, and without a service worker. */
async function fresh(browser) {
  const context = await browser.newContext({ viewport: laptop, serviceWorkers: 'block' });
  const page = await context.newPage();
  page.on('pageerror', (error) => troubles.push(`error in the page: ${error.message}`));
  page.on('crash', () => troubles.push('the page crashed'));
  return page;
}

/** What went wrong in a page makes its figures worthless: the run ends here. */
function allWell() {
  if (troubles.length) throw new Error(troubles.join('; '));
}

/** The bytes of a reply on the wire. */
function bytesOf(reply, name) {
  const said = reply.headers()['content-length'];
  if (!reply.ok() || said === undefined || !(Number(said) > 0)) troubles.push(`${name}: status ${reply.status()}, content-length ${said}`);
  return Number(said ?? 0);
}

/**
 * Bytes on the wire of the scripts and styles, and of the core, of one address.
 * The page works out figures: one that loads no core is broken.
 */
async function sizes(browser, path) {
  const page = await fresh(browser);
  const found = { first: 0, core: 0, plain: [] };
  page.on('response', (reply) => {
    const { pathname } = new URL(reply.url());
    if (!/\.(js|css|wasm)$/.test(pathname)) return;
    if (reply.headers()['content-encoding'] !== 'br') found.plain.push(pathname);
    found[pathname.endsWith('.wasm') ? 'core' : 'first'] += bytesOf(reply, pathname);
  });
  await page.goto(site + path, { waitUntil: 'networkidle' });
  await page.context().close();
  // registerSW.js is too small to be compressed.
  const uncompressed = found.plain.filter((name) => !name.endsWith('registerSW.js'));
  if (uncompressed.length) troubles.push(`not sent in brotli: ${uncompressed}`);
  if (!found.core) troubles.push(`${path} loads no core`);
  allWell();
  return found;
}

/** Bytes on the wire of the reader of files, which is fetched with the first file. */
async function readerSize(browser) {
  const page = await fresh(browser);
  await page.goto(`${site}/#/new`, { waitUntil: 'networkidle' });
  const arrived = page.waitForResponse((reply) => reply.url().endsWith('.wasm'));
  await page.getByLabel('How is it measured?').selectOption('file');
  const square = [[-95.1, 44.2], [-95.0995, 44.2], [-95.0995, 44.2004], [-95.1, 44.2]];
  const file = JSON.stringify({ type: 'Feature', properties: {}, geometry: { type: 'Polygon', coordinates: [square] } });
  await page.locator('input[type=file]').setInputFiles({ name: 'one.geojson', mimeType: 'application/json', buffer: Buffer.from(file) });
  const reply = await arrived;
  if (reply.headers()['content-encoding'] !== 'br') troubles.push(`not sent in brotli: ${reply.url()}`);
  const bytes = bytesOf(reply, reply.url());
  await page.context().close();
  allWell();
  return bytes;
}

async function firstPaint(browser, path) {
  const page = await fresh(browser);
  const session = await page.context().newCDPSession(page);
  await session.send('Emulation.setCPUThrottlingRate', { rate: slowdown });
  await page.goto(site + path, { waitUntil: 'load' });
  const at = await page.evaluate(() => new Promise((done) => {
    new PerformanceObserver((list) => {
      const paint = list.getEntriesByName('first-contentful-paint')[0];
      if (paint) done(paint.startTime);
    }).observe({ type: 'paint', buffered: true });
  }));
  await page.context().close();
  allWell();
  return at;
}

/** A quarter acre of forty corners with bays, about a place. */
function plotOfForty(lon, lat) {
  const [corners, acre] = [40, 4046.8564224];
  const metresNorth = 111132; // in a degree, near enough to draw with
  const metresEast = 111320 * Math.cos((lat * Math.PI) / 180);
  const reach = (i) => 1 + 0.15 * Math.sin((6 * Math.PI * i) / corners) + 0.05 * Math.cos((14 * Math.PI * i) / corners);
  const unit = Array.from({ length: corners }, (_, i) => {
    const turn = (2 * Math.PI * i) / corners;
    return [reach(i) * Math.cos(turn), reach(i) * Math.sin(turn)];
  });
  const area = unit.reduce((sum, [x, y], i) => sum + x * unit[(i + 1) % corners][1] - unit[(i + 1) % corners][0] * y, 0) / 2;
  const size = Math.sqrt(acre / 4 / area);
  const ring = unit.map(([x, y]) => [lon + (x * size) / metresEast, lat + (y * size) / metresNorth]);
  return [[...ring, ring[0]]];
}

/**
 * Drags a corner to and fro so many times, in the page. Gives the milliseconds
 * from each move to the end of the frame that shows its passes and evenness,
 * and the longest time between two frames.
 */
function dragged(page, times) {
  return page.evaluate(async (times) => {
    let last = performance.now();
    let going = true;
    const gaps = [];
    const tick = () => {
      const now = performance.now();
      gaps.push(now - last);
      last = now;
      if (going) requestAnimationFrame(tick);
    };
    requestAnimationFrame(tick);
    const [lon, lat] = window.benchCorner;
    const waits = [];
    for (let i = 0; i < times; i++) {
      const swing = 2e-5 * Math.sin(i / 7); // degrees: some two metres
      // A finger does not wait for the screen: steps fall anywhere in a frame.
      await new Promise((done) => setTimeout(done, (i * 7) % 17));
      const from = performance.now();
      await window.evenfallBench.drag(3, [lon + swing, lat + swing / 2]);
      waits.push(performance.now() - from);
    }
    going = false;
    return { waits, longest: Math.max(...gaps.slice(1)) };
  }, times);
}

/** Resident memory, in MB, of the processes that run pages under a browser. */
function pagesMB(browserPid) {
  const status = (pid) => readFileSync(`/proc/${pid}/status`, 'utf8');
  const all = readdirSync('/proc').filter((name) => /^\d+$/.test(name)).flatMap((pid) => {
    try {
      const text = status(pid);
      return [{ pid, parent: /^PPid:\s*(\d+)/m.exec(text)[1], kB: Number(/^VmRSS:\s*(\d+)/m.exec(text)?.[1] ?? 0), line: readFileSync(`/proc/${pid}/cmdline`, 'utf8') }];
    } catch {
      return []; // it has ended
    }
  });
  const below = (pid) => all.filter((one) => one.parent === String(pid)).flatMap((one) => [one, ...below(one.pid)]);
  return below(browserPid).filter((one) => one.line.includes('--type=renderer')).reduce((sum, one) => sum + one.kB, 0) / 1024;
}

/** The same once the garbage is collected. */
async function memory(page, pid) {
  const session = await page.context().newCDPSession(page);
  await session.send('HeapProfiler.collectGarbage');
  await session.detach();
  await new Promise((done) => setTimeout(done, 1000));
  return pagesMB(pid);
}

async function dragging(browser, pid) {
  const page = await fresh(browser);
  await page.goto(`${site}/?bench`, { waitUntil: 'load' });
  await page.waitForFunction(() => window.evenfallBench !== undefined);
  const outline = plotOfForty(-95.1, 44.2);
  await page.evaluate(async (outline) => {
    window.benchCorner = outline[0][3];
    await window.evenfallBench.open(outline);
  }, outline);
  await dragged(page, warmUp);
  const { waits, longest } = await dragged(page, 200);
  console.log(`  drags: median ${median(waits).toFixed(1)}, nine in ten within ${quantile(waits, 0.9).toFixed(1)}, slowest ${Math.max(...waits).toFixed(1)} ms`);
  say('drag to new passes and evenness, median of 200', median(waits), 33, 'ms');
  say('longest frame while dragging', longest, 100, 'ms');
  const before = await memory(page, pid);
  const after = [];
  for (let i = 0; i < rounds; i++) {
    await dragged(page, drags);
    after.push(await memory(page, pid));
  }
  console.log(`  memory of the page: ${before.toFixed(0)} MB after ${warmUp + 200} drags, then after every ${drags} more ${after.map((mb) => mb.toFixed(0)).join(', ')} MB`);
  say(`growth over ${drags} drags, in percent of the memory`, (100 * (after.at(-1) - before)) / before / rounds, 3, '%');
  await page.evaluate(() => window.evenfallBench.drop());
  await page.context().close();
  allWell();
}

const folder = mkdtempSync(join(tmpdir(), 'evenfall-bench-'));
const server = await serve(folder);
const browsers = await chromium.launchServer({ executablePath: browserPath, args: flags });
try {
  const browser = await chromium.connect(browsers.wsEndpoint());
  const load = loadavg()[0];
  console.log(`load of this machine: ${load.toFixed(1)}`);
  const plots = await (await fetch(`${site}/api/v1/plots`)).json();
  const views = { 'the front page': '/', 'a sheet': `/#/plot/${plots.items[0].id}` };
  for (const [name, path] of Object.entries(views)) {
    const { first, core } = await sizes(browser, path);
    say(`script and style of ${name}, brotli`, first / 1000, 220, 'KB');
    say(`core, brotli, as ${name} loads it`, core / 1e6, 1.6, 'MB');
  }
  console.log(`  reader of files, brotli, fetched with the first file: ${((await readerSize(browser)) / 1e6).toFixed(3)} MB`);
  for (const [name, path] of Object.entries(views)) {
    const times = [];
    for (let i = 0; i < paints; i++) times.push(await firstPaint(browser, path));
    say(`first paint of ${name}, ${slowdown} times slowed, median of ${paints}`, median(times), 1500, 'ms');
  }
  await dragging(browser, browsers.process().pid);
  await browser.close();
} finally {
  await browsers.close();
  server.kill();
  rmSync(folder, { recursive: true, force: true });
}
process.exitCode = over ? 1 : 0;
