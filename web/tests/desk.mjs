// Two devices and a desk: joined, edited on both sides, the link cut in the middle and restored.
import assert from 'node:assert/strict';
import { execFileSync } from 'node:child_process';
import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { chromium } from 'playwright-core';
import { demoHouse, housePart, rows, settled, stored, test, until } from './common.mjs';
import { Hand, upToPoints } from './hand.mjs';
import { PROGRAM, serve } from './serve.mjs';

/** A desk with one small job, and devices of their own storage. */
async function desk(run) {
  const folder = mkdtempSync(join(tmpdir(), 'airwright-desk-'));
  mkdirSync(join(folder, 'job'));
  writeFileSync(join(folder, 'job', 'job.toml'), 'format = 1\nname = "Old Mill"\n');
  const store = join(folder, 'desk.store');
  execFileSync(PROGRAM, ['store', store, 'put', join(folder, 'job'), '--job', 'mill']);
  const server = await serve(['--store', store]);
  const browser = await chromium.launch({ executablePath: '/usr/bin/chromium', args: ['--no-sandbox', '--disable-gpu'] });
  const device = async (more = {}) => {
    const context = await browser.newContext({ viewport: { width: 390, height: 844 }, locale: 'en-US', reducedMotion: 'reduce', ...more });
    const page = await context.newPage();
    page.setDefaultTimeout(30_000);
    return { context, page, hand: new Hand(page) };
  };
  try {
    await until(() => /one device: \S+/.test(server.said), 'a code is shown');
    await run({ server, device, code: /one device: (\S+)/.exec(server.said)[1], store, folder });
  } finally {
    await browser.close();
    await server.stop();
    rmSync(folder, { recursive: true, force: true });
  }
}

const state = (page) => page.locator('[data-desk]').first().getAttribute('data-desk');
const linked = (page) => until(async () => (await state(page)) === 'linked', 'the desk has everything');

async function joins({ page, hand }, url, code, name, shot) {
  await page.goto(`${url}#/join/${code}`);
  await hand.ready();
  assert.equal(await page.getByRole('textbox', { name: hand.w('desk-code') }).inputValue(), code);
  assert.ok(page.url().endsWith('#/desk'), 'the code does not stay in the address');
  if (shot) await page.screenshot({ path: shot });
  await page.getByRole('textbox', { name: hand.w('desk-name') }).fill(name);
  await page.getByRole('button', { name: hand.w('desk-join'), exact: true }).click();
  await page.getByRole('button', { name: hand.w('desk-now') }).waitFor();
  await linked(page);
}

const paper = async ({ page, hand }) => {
  await housePart({ page }, hand, 'papers');
  await page.getByRole('button', { name: 'job.toml' }).click();
  await page.locator('textarea').waitFor();
};

const text = ({ page }) => page.locator('textarea').inputValue();

async function writes({ page, hand }, change) {
  const area = page.locator('textarea');
  await area.fill(change(await area.inputValue()));
  await page.getByRole('button', { name: hand.w('job-keep') }).click();
  await page.waitForTimeout(300);
}

test('two devices and a desk: joined, both edit, the link cut in the middle and restored', async ({ shots, axe }) => {
  await desk(async ({ server, device, code }) => {
    const a = await device();
    const b = await device({ viewport: { width: 1280, height: 800 }, colorScheme: 'dark' });
    // Refused, then accepted.
    await a.page.goto(`${server.url}#/device`);
    await a.hand.ready();
    await a.page.getByRole('link', { name: a.hand.w('desk-link') }).click();
    await a.page.getByRole('textbox', { name: a.hand.w('desk-code') }).fill('ZZZZ-ZZZZ');
    await a.page.getByRole('textbox', { name: a.hand.w('desk-name') }).fill('phone A');
    await a.page.getByRole('button', { name: a.hand.w('desk-join'), exact: true }).click();
    await a.page.getByRole('alert').filter({ hasText: 'this code lets nobody join' }).waitFor();
    await joins(a, server.url, code, 'phone A', join(shots, 'desk-join.png'));
    // What the desk had is here; what is here goes to the desk.
    await a.page.goto(`${server.url}#/`);
    await a.page.getByRole('link', { name: /Old Mill/ }).waitFor();
    await demoHouse(a, a.hand);
    await linked(a.page);
    // A second device, with a code that the first one shows.
    await a.page.goto(`${server.url}#/desk`);
    await a.page.getByRole('button', { name: a.hand.w('desk-new-code') }).click();
    const second = await a.page.locator('.code').innerText();
    await a.page.screenshot({ path: join(shots, 'desk-joined.png'), fullPage: true });
    await joins(b, server.url, second, 'tablet B');
    await b.page.screenshot({ path: join(shots, 'desk-joined-wide-dark.png'), fullPage: true });
    for (const one of [a, b]) {
      await one.page.goto(`${server.url}#/`);
      await one.page.getByRole('link', { name: /Quarry Lane/ }).first().click();
      await paper(one);
    }
    assert.equal(await text(a), await text(b));
    const same = (what) => until(async () => (await text(a)) === (await text(b)), what);

    // The answer to one exchange is lost on the way, then the link is gone; both go on writing.
    let lost = 0;
    await a.context.route('**/exchange', async (route) => {
      if (lost > 0) return route.continue();
      lost += 1;
      await route.fetch();
      await route.abort();
    });
    await writes(a, (old) => `${old}\n# written on A before the link was cut\n`);
    await until(() => lost === 1, 'an answer is lost');
    await a.context.setOffline(true);
    await until(async () => (await state(a.page)) === 'away', 'the desk is away');
    await writes(a, (old) => `${old}\n[place.a]\nwords = "from A"\n`);
    await writes(b, (old) => `${old}\n[place.b]\nwords = "from B"\n`);
    await linked(b.page);
    await a.page.screenshot({ path: join(shots, 'desk-away.png') });
    await a.context.setOffline(false);
    await same('both have both');
    const both = await text(a);
    for (const part of ['# written on A before', 'from A', 'from B']) assert.equal(both.split(part).length, 2, `${part} stands once: ${both}`);

    // One field written differently on both sides: both values are shown on both devices, and one is chosen.
    for (const one of [a, b]) await one.context.setOffline(true);
    await writes(a, (old) => old.replace('"from A"', '"A again"'));
    await writes(b, (old) => old.replace('"from A"', '"B instead"'));
    await a.context.setOffline(false);
    await linked(a.page);
    await b.context.setOffline(false);
    for (const one of [a, b]) await one.page.getByRole('heading', { name: one.hand.w('desk-conflicts') }).waitFor();
    await same('what came first counts on both');
    assert.ok((await text(b)).includes('A again'));
    await a.page.evaluate(axe);
    const found = await a.page.evaluate(() => window.axe.run(document, { runOnly: ['wcag2a', 'wcag2aa', 'wcag21aa', 'wcag22aa'] }));
    assert.deepEqual(found.violations.map((v) => `${v.id}: ${v.nodes.map((n) => n.target).join(' ')}`), []);
    for (const one of [a, b]) {
      await one.page.evaluate(() => {
        document.activeElement?.blur();
        window.scrollTo(0, 0);
        document.querySelector('main').scrollTo(0, 0);
      });
    }
    await a.page.screenshot({ path: join(shots, 'desk-conflict.png') });
    await b.page.screenshot({ path: join(shots, 'desk-conflict-wide-dark.png') });
    await b.page.getByRole('button', { name: /tablet B/ }).click();
    await until(async () => (await text(a)).includes('B instead'), 'the choice counts on the other device');
    await same('both are the same again');
    for (const one of [a, b]) await one.page.getByRole('heading', { name: one.hand.w('desk-conflicts') }).waitFor({ state: 'detached' });
    // What came from the desk can be taken back like anything else.
    await a.page.getByRole('button', { name: a.hand.w('job-undo') }).click();
    await until(async () => (await text(b)).includes('A again'), 'taken back on A, and so on B');

    await a.page.evaluate(() => localStorage.setItem('airwright-theme', 'sun'));
    // Long work on the desk: asked, watched, stopped; asked again it is done, and the answer is on the page.
    await housePart(b, b.hand, 'plans');
    const live = b.page.getByRole('button', { name: b.hand.w('desk-live') });
    await live.click();
    await b.page.locator('progress').waitFor();
    await b.page.screenshot({ path: join(shots, 'desk-live-wide-dark.png') });
    await b.page.getByRole('button', { name: b.hand.w('job-stop') }).click();
    await b.page.locator('progress').waitFor({ state: 'detached' });
    await live.click();
    await b.page.locator('#part-plans').waitFor({ timeout: 120_000 });

    // Left: the houses stay.
    await a.page.goto(`${server.url}#/desk`);
    await a.page.reload();
    await a.page.getByRole('button', { name: a.hand.w('desk-leave') }).click();
    await a.page.screenshot({ path: join(shots, 'desk-leave-sun.png'), fullPage: true });
    await a.page.getByRole('button', { name: a.hand.w('desk-leave-yes'), exact: true }).click();
    await a.page.getByText(a.hand.w('desk-none')).waitFor();
    await a.page.goto(`${server.url}#/`);
    await a.page.getByRole('link', { name: /Quarry Lane/ }).first().waitFor();
  });
});

/** A picture of the page's own making, PNG. */
const picture = async (page) =>
  Buffer.from(
    await page.evaluate(async () => {
      const canvas = document.createElement('canvas');
      canvas.width = 800;
      canvas.height = 600;
      const pen = canvas.getContext('2d');
      for (let n = 0; n < 60; n += 1) {
        pen.fillStyle = `hsl(${n * 31} 60% 50%)`;
        pen.fillRect((n * 137) % 700, (n * 89) % 500, 90, 90);
      }
      const blob = await new Promise((resolve) => canvas.toBlob(resolve, 'image/png'));
      return [...new Uint8Array(await blob.arrayBuffer())];
    }),
  );

const kept = async (page, store) => (await stored(page, store)).map((one) => ({ ...one, bytes: undefined }));

/** A test as somebody wrote it: the engine would write the same otherwise. */
const BY_HAND = {
  'job.toml': "# written at a table\nformat = 1\nname = 'Old barn'\nlanguage = \"en\"\nunits = \"SI\"\n\n[building]\nvolume = '400 m3' # paced out\n",
  'visits/2026-02-03/visit.toml':
    "format = 1\ndate = '2026-02-03'\n\n# borrowed\n[instrument.f]\nmeasures = 'air flow'\naccuracy = '4 %'\nshows = 'flow at reference conditions'\n[instrument.p]\nmeasures = 'pressure'\naccuracy = '1 %'\nbaseline = 'subtracted'\n\n[test.t]\nstandard = 'ISO 9972'\ndirection = 'depressurise'\npressure_with = 'p'\nflow_with = 'f'\nstations = { columns = ['house Pa', 'fan m3/h'], rows = [\n[-10, 361], [-20, 567], [-30, 744], [-40, 897], [-50, 1040], [-60, 1178]] }\n",
};
function handwritten(folder) {
  const job = join(folder, 'barn');
  for (const [path, text] of Object.entries(BY_HAND)) {
    mkdirSync(join(job, path, '..'), { recursive: true });
    writeFileSync(join(job, path), text);
  }
  return job;
}

test('photos and single tests go to the desk, and to the other device', async ({ shots }) => {
  await desk(async ({ server, device, code, store, folder }) => {
    const a = await device();
    const b = await device({ viewport: { width: 1280, height: 800 } });
    await joins(a, server.url, code, 'phone A');
    await a.page.goto(`${server.url}#/desk`);
    await a.page.getByRole('button', { name: a.hand.w('desk-new-code') }).click();
    await joins(b, server.url, await a.page.locator('.code').innerText(), 'tablet B');

    await a.page.goto(`${server.url}#/`);
    await demoHouse(a, a.hand);
    const photos = async ({ page, hand }) => {
      await housePart({ page }, hand, 'visit');
      await page.locator('main button.line', { hasText: hand.w('visit-photos') }).click();
      await page.getByRole('heading', { level: 2, name: hand.w('visit-photos') }).waitFor();
    };
    await photos(a);
    // Taken while the desk is away, and sent when it answers.
    await a.context.setOffline(true);
    await a.page.locator('input[type=file]').setInputFiles({ name: 'corner.png', mimeType: 'image/png', buffer: await picture(a.page) });
    await a.page.locator('figure img').waitFor();
    // The first answer to the photo is lost on the way.
    let lost = 0;
    await a.context.route('**/photos/*', async (route) => {
      if (lost > 0) return route.continue();
      lost += 1;
      await route.fetch();
      await route.abort();
    });
    await a.context.setOffline(false);
    await until(() => lost === 1, 'an answer is lost');
    await until(async () => (await state(a.page)) === 'linked', 'sent again', 60_000);
    await b.page.goto(`${server.url}#/`);
    await b.page.getByRole('link', { name: /Quarry Lane/ }).first().click();
    await photos(b);
    const shown = b.page.locator('figure img');
    await shown.waitFor({ timeout: 60_000 });
    assert.equal(await shown.evaluate((img) => img.decode().then(() => img.naturalWidth)), 800);
    const names = async (one) => (await kept(one.page, 'attachments')).map((p) => p.name).sort();
    assert.deepEqual(await names(a), await names(b));
    await b.page.screenshot({ path: join(shots, 'desk-photo.png') });

    // A single test: typed on A, read on B, with the same numbers, and nobody goes on rewriting it.
    await a.page.goto(`${server.url}#/`);
    await a.page.locator('h1').waitFor();
    await upToPoints(a.hand);
    await a.hand.points(rows.slice(0, 6));
    await settled(a.page, 6);
    await a.page.getByRole('button', { name: a.hand.w('bar-tests') }).click();
    await a.page.locator('a.test').first().waitFor();
    await b.page.goto(`${server.url}#/`);
    await b.page.locator('a.test').first().waitFor({ timeout: 60_000 });
    await b.page.locator('a.test').first().click();
    await b.hand.goStep(6);
    await settled(b.page, 6);
    const numbers = async (one) => (await kept(one.page, 'docs')).sort((x, y) => x.revision - y.revision).at(-1).draft.stations.map((s) => [Number(s.house), Number(s.fan)]).filter(([house]) => house !== 0);
    assert.deepEqual(await numbers(b), await numbers(a));
    await b.page.screenshot({ path: join(shots, 'desk-test.png') });
    await b.page.getByRole('button', { name: b.hand.w('bar-tests') }).click();
    await linked(b.page);
    const count = async (one) => (await kept(one.page, 'docs')).length;
    let before = [];
    await until(async () => {
      const now = [await count(a), await count(b)];
      const rest = now.join() === before.join();
      before = now;
      if (!rest) await b.page.waitForTimeout(10_000);
      return rest;
    }, 'both rest for ten seconds, of a minute', 600);

    // Written by hand at the desk: both devices take it, nobody touches it, and it stays byte for byte.
    const name = 'Old barn (test abc123)';
    execFileSync(PROGRAM, ['store', store, 'put', handwritten(folder), '--job', name]);
    for (const one of [a, b]) {
      await one.page.goto(`${server.url}#/`);
      await one.page.locator('a.test', { hasText: 'Old barn' }).waitFor({ timeout: 60_000 });
    }
    const stands = (path) => execFileSync(PROGRAM, ['store', store, 'show', name, path], { encoding: 'utf8' });
    await b.page.waitForTimeout(12_000);
    assert.equal(stands('job.toml'), BY_HAND['job.toml']);
    assert.equal(stands('visits/2026-02-03/visit.toml'), BY_HAND['visits/2026-02-03/visit.toml']);

    // Removed on one device it stays on the other and on the desk, and does not come back.
    const barn = (one) => one.page.locator('li', { has: one.page.locator('a.test', { hasText: 'Old barn' }) });
    await barn(a).getByRole('button', { name: new RegExp(a.hand.w('tests-remove')) }).click();
    await barn(a).getByRole('button', { name: a.hand.w('tests-remove-yes'), exact: true }).click();
    await barn(a).waitFor({ state: 'detached' });
    await b.page.locator('a.test', { hasText: 'Old barn' }).click();
    await b.hand.goStep(2);
    await b.page.getByRole('textbox', { name: new RegExp(b.hand.w('place-altitude')) }).first().fill('120');
    await b.page.getByRole('button', { name: b.hand.w('bar-tests') }).click();
    await until(() => stands('job.toml').includes('120'), 'what is typed on the other device comes to the desk', 60_000);
    await a.page.waitForTimeout(7_000);
    assert.equal(await barn(a).count(), 0, 'removed is removed');
    assert.equal(await barn(b).count(), 1);
  });
});
