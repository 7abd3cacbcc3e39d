// Every place of the app once, by the app's own list of them. What is new there and not visited here is a failure.
import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import ts from 'typescript';
import { demoHouse, everyPage, housePart, open } from './common.mjs';
import { desk } from './made-up.mjs';

/** The app's own routes: its module, without the types. */
export async function routes() {
  const source = readFileSync(new URL('../src/lib/routes.ts', import.meta.url), 'utf8');
  const { outputText } = ts.transpileModule(source, { compilerOptions: { module: ts.ModuleKind.ESNext, target: ts.ScriptTarget.ES2022 } });
  return import(`data:text/javascript,${encodeURIComponent(outputText)}`);
}

const rest = async (page) => {
  await page.waitForTimeout(150);
  await page.waitForFunction(() => !document.querySelector('[aria-busy=true]') && !document.querySelector('main p[role=status]:only-child'), undefined, { timeout: 90_000 });
  await page.waitForTimeout(150);
};

/** Steps of a single test by the names that `everyPage` gives its places. */
const STEP_OF = /^(\d)-/;
const PAGE_OF = { 'tests-empty': 'tests', steps: 'tests' };

/**
 * Walks through all places of a whole house; `visit(name, place)` looks at each, `name` telling several
 * looks at one place apart. Returns the places that were met.
 */
async function everyHousePlace(t, visit, language) {
  const { page } = t;
  const made = await desk();
  const met = new Set();
  const look = async (place, name = place.replaceAll('/', '-')) => {
    met.add(place);
    await rest(page);
    await visit(name, place);
  };
  try {
    t.url = made.url;
    const hand = await open(t, language);
    const to = async (hash, head) => {
      await page.evaluate((h) => (location.hash = h), hash);
      await page.locator(head ?? 'main h1').first().waitFor({ timeout: 60_000 });
      await rest(page);
    };
    await to('#/desk');
    await look('desk');
    await to('#/new-house');
    await look('new-house');
    await page.getByRole('textbox', { name: hand.w('begin-name') }).fill('Fenton Row');
    await page.getByRole('button', { name: hand.w('begin-make') }).click();
    await housePart(t, hand, 'house');
    await look('job/house', 'house-unread');
    // A job in which nothing was done yet: every page has advice.
    const fresh = new URL(page.url()).hash.split('/')[2];
    for (const part of ['visit', 'known', 'plans', 'watch', 'report', 'papers']) {
      await to(`#/job/${fresh}/${part}`);
      await look(`job/${part}`, `unread-${part}`);
    }
    await to(`#/job/${fresh}/plans/build`);
    await look('job/plans/build', 'unread-plans-build');
    await to('#/');
    await demoHouse(t, hand);
    const id = new URL(page.url()).hash.split('/')[2];
    const job = (place) => `#/job/${id}/${place}`;
    await look('job/house');
    await page.locator('details > summary').first().click();
    await page.locator('details ul.lines button').first().click();
    await page.locator('dialog[open]').waitFor();
    await look('job/house', 'house-thing');
    await page.keyboard.press('Escape');

    await to(job('visit'));
    await look('job/visit');
    for (const step of ['complaints', 'books', 'screen', 'conditions', 'instruments', 'readings', 'photos', 'changed', 'restore', 'read']) {
      await to(job(`visit/${step}`), 'main h2');
      if (step === 'read') await page.locator('.fragment').first().waitFor({ timeout: 60_000 });
      await look(`job/visit/${step}`);
    }
    await to(job('visit/test.envelope'), 'main h2');
    await look('job/visit/test', 'visit-test-envelope');
    for (const step of ['baseline', 'points', 'after']) {
      await to(job(`visit/test.envelope.${step}`), 'input[data-entry]');
      await look(`job/visit/test.${step}`);
    }
    await to(job('visit/how.envelope'), 'main h2');
    await look('job/visit/how');

    await to(job('known'));
    await page.locator('select').first().waitFor();
    await look('job/known');
    await to(job('plans'));
    await look('job/plans/compare', 'plans-before');
    await to(job('plans/build'), 'section.list');
    await look('job/plans/build');
    await to(job('report'), 'iframe');
    await page.frameLocator('iframe').locator('body').waitFor();
    await look('job/report');
    await page.locator('summary').filter({ hasText: hand.w('export-title') }).click();
    await look('job/report', 'report-exports');
    await to(job('papers'), 'ul.lines button');
    await look('job/papers');
    await to(job('papers/house.toml/1'), 'textarea');
    await look('job/papers/document');

    // A watch of a desk, with an event opened.
    await to(job('known'));
    await page.evaluate(() => window.dispatchEvent(new CustomEvent('airwright-desk', { detail: { fetcher: (path, init) => fetch(path, init), name: () => 'made-up' } })));
    await to(job('watch'), 'canvas[data-trace]');
    await page.locator('#watch-events').waitFor({ timeout: 60_000 });
    await look('job/watch');
    await page.getByRole('button', { name: new RegExp(hand.w('watch-event')) }).first().click();
    await look('job/watch', 'watch-event');

    await to('#/');
    await page.getByRole('button', { name: hand.w('houses-practice') }).click();
    const practice = page.locator('section.card').filter({ has: page.getByRole('heading', { name: hand.w('practice-title') }) });
    await practice.waitFor({ timeout: 60_000 });
    await practice.locator('summary').last().click();
    await look('job/visit', 'practice');
    // Removing asks before it does.
    await to('#/');
    await page.locator('a[href^="#/job/"]').first().waitFor();
    await look('tests', 'houses');
  } finally {
    await made.stop();
  }
  return met;
}

/** A test of every kind that the page offers, just begun, in the invented house. */
export async function everyKind(t, visit, language) {
  const { page } = t;
  const hand = await open(t, language);
  await demoHouse(t, hand);
  const id = new URL(page.url()).hash.split('/')[2];
  const overview = async () => {
    await page.evaluate((i) => (location.hash = `#/job/${i}/visit`), id);
    await page.locator('[data-begin]').first().waitFor({ state: 'attached', timeout: 60_000 });
    await rest(page);
  };
  await overview();
  const kinds = await page.locator('[data-begin]').evaluateAll((all) => [...new Set(all.map((one) => one.dataset.begin))]);
  assert.ok(kinds.length > 25, `${kinds}`);
  for (const kind of kinds) {
    await overview();
    const begin = page.locator(`[data-begin="${kind}"]`).first();
    if (!(await begin.isVisible())) await page.locator('main details:has([data-begin]) > summary').last().click();
    await begin.click();
    await page.locator('main h2').first().waitFor();
    await rest(page);
    for (const closed of await page.locator('main section[aria-labelledby=setup-h] > details:not([open]) > summary').all()) await closed.click();
    await visit(`kind-${kind.replaceAll(' ', '-')}`, 'job/visit/test');
  }
}

/** Whether a place belongs to the single tests and the device, which `everyPage` walks. */
const alone = (place) => place.startsWith('test/') || ['tests', 'books', 'device'].includes(place);

function complete(met, all, which) {
  assert.deepEqual(all.filter((place) => which(place) && !met.has(place)), [], 'places that nobody visited');
  assert.deepEqual([...met].filter((place) => !all.includes(place)), [], 'places that the app does not know');
}

/** The single tests, the books, the device. */
export async function everySinglePlace(t, visit, language) {
  const { STEPS, places } = await routes();
  const met = new Set();
  await everyPage(t, async (name) => {
    const step = STEP_OF.exec(name)?.[1];
    const place = step ? `test/${STEPS[Number(step) - 1]}` : (PAGE_OF[name] ?? name);
    met.add(place);
    await visit(name, place);
  }, language);
  complete(met, places(), alone);
}

/** Everything else there is. */
export async function everyOtherPlace(t, visit, language) {
  const { places } = await routes();
  complete(await everyHousePlace(t, visit, language), places(), (place) => !alone(place));
}
