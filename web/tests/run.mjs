// Drives the built pages in Chromium: `node web/tests/run.mjs [words of a test's name]`.
import { existsSync, mkdirSync, mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { chromium } from 'playwright-core';
import { tests } from './common.mjs';
import { folder, serve } from './serve.mjs';
import './all.mjs';
import './device.mjs';
import './versions.mjs';
import './access.mjs';
import './content.mjs';
import './house.mjs';
import './watch.mjs';
import './desk.mjs';
import './visit.mjs';
import './speech.mjs';

const here = fileURLToPath(new URL('.', import.meta.url));
const dist = join(here, '..', 'dist');
if (!existsSync(join(dist, 'sw.js'))) {
  console.error('web/dist is missing: run ./web/build first');
  process.exit(2);
}

export const FLAGS = [
  '--headless',
  '--no-sandbox',
  '--disable-gpu',
  '--disable-quic',
  '--no-first-run',
  '--disable-background-networking',
  '--disable-component-update',
  '--disable-sync',
];

for (const signal of ['SIGINT', 'SIGTERM', 'SIGHUP']) process.once(signal, () => process.exit(130));

/** A test that waits for ever is one that failed; one that walks through everything says how long it may take. */
const LONGEST_S = 180;
function inTime(promise, longest_s) {
  let timer;
  const late = new Promise((_, reject) => {
    timer = setTimeout(() => reject(new Error(`not done after ${longest_s} s`)), longest_s * 1000);
  });
  return Promise.race([promise, late]).finally(() => clearTimeout(timer));
}

const wanted = process.argv.slice(2).join(' ');
const shots = join(here, 'shots');
if (!wanted) rmSync(shots, { recursive: true, force: true });
mkdirSync(shots, { recursive: true });
const axe = readFileSync(join(here, '..', 'node_modules', 'axe-core', 'axe.min.js'), 'utf8');

// What is tested is what was built.
const program = await serve();
const embedded = await (await fetch(new URL('sw.js', program.url))).text();
await program.stop();
if (embedded !== readFileSync(join(dist, 'sw.js'), 'utf8')) {
  console.error('the program carries other pages than web/dist: run `cargo build`');
  process.exit(2);
}

let passed = 0;
const failed = [];
for (const { name, run, options: { folder: inFolder = false, longest_s = LONGEST_S, ...options } = {} } of tests) {
  if (wanted && !name.includes(wanted)) continue;
  const server = await (inFolder ? folder() : serve());
  const profile = mkdtempSync(join(tmpdir(), 'airwright-web-'));
  const browser = await chromium.launchPersistentContext(profile, {
    executablePath: '/usr/bin/chromium',
    args: FLAGS,
    headless: true,
    viewport: { width: 390, height: 844 },
    locale: 'en-US',
    reducedMotion: 'reduce',
    acceptDownloads: true,
    ...options,
  });
  const troubles = [];
  browser.on('weberror', (error) => troubles.push(`page error: ${error.error().message}`));
  browser.on('console', (message) => {
    // A content policy that is broken is said on the console alone.
    if (message.type() === 'error') troubles.push(`console: ${message.text()}`);
  });
  const began = performance.now();
  const page = browser.pages()[0] ?? (await browser.newPage());
  page.setDefaultTimeout(15_000);
  try {
    await inTime(run({ browser, page, server, url: server.url, shots, axe, troubles }), longest_s);
    if (troubles.length > 0) throw new Error(troubles.join('\n'));
    passed += 1;
    console.log(`ok    ${name} (${((performance.now() - began) / 1000).toFixed(1)} s)`);
  } catch (error) {
    failed.push(name);
    console.log(`FAIL  ${name}\n${String(error?.stack ?? error).replace(/^/gm, '      ')}`);
    if (troubles.length > 0) console.log(troubles.join('\n').replace(/^/gm, '      '));
    await browser.pages().at(-1)?.screenshot({ path: join(shots, `failed-${name.replace(/[^a-z0-9]+/gi, '-')}.png`) }).catch(() => undefined);
  }
  await browser.close().catch(() => undefined);
  await (server.end ?? server.stop)();
  rmSync(profile, { recursive: true, force: true, maxRetries: 5 });
}
console.log(`${passed} passed, ${failed.length} failed`);
process.exit(failed.length > 0 ? 1 : 0);
