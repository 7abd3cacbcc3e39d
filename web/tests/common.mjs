// What all tests of the pages share: the list of them, and the ways through the pages.
import { readFileSync } from 'node:fs';
import { FT2, Hand, upToPoints } from './hand.mjs';

export const tests = [];
/**
 * A test. Options are those of the browser, `longest_s` where it may take longer than usual, and `folder`: the pages lie below a path of a web server
 * that can publish a newer build; else the program itself serves them.
 */
export const test = (name, run, options) => tests.push({ name, run, options });

export const rows = FT2.dp.map((dp, i) => [dp, FT2.q[i]]).reverse();

export const open = async ({ page, url }, language) => {
  await page.goto(url);
  const hand = new Hand(page, language);
  await hand.ready();
  return hand;
};

/** Waits until something that is asked again and again holds; the page's own waiting awaits no promise. */
export async function until(holds, what = String(holds), longest_ms = 15_000) {
  for (let n = 0; n < longest_ms / 100; n += 1) {
    if (await holds()) return;
    await new Promise((resolve) => setTimeout(resolve, 100));
  }
  throw new Error(`never: ${what}`);
}

/** Waits until the answer is the one of all that was typed. */
export const settled = (page, count) =>
  page.waitForFunction((n) => document.querySelectorAll('svg .dot').length === n, count);

export const downloaded = async (page, click) => {
  const [download] = await Promise.all([page.waitForEvent('download'), click()]);
  return { name: download.suggestedFilename(), bytes: readFileSync(await download.path()) };
};

/** Asks a store of the page's base: all rows in the order of their keys, or how many there are. */
export const stored = (page, name, how = 'getAll') =>
  page.evaluate(
    ([store, method]) =>
      new Promise((resolve, reject) => {
        const request = indexedDB.open('airwright');
        request.onerror = () => reject(request.error);
        request.onsuccess = () => {
          const base = request.result;
          base.transaction(store).objectStore(store)[method]().onsuccess = ({ target }) => {
            base.close();
            resolve(target.result);
          };
        };
      }),
    [name, how],
  );

/** The newest text of a document whose path ends so; of one job, or of any. */
export async function newest(page, path, job) {
  const all = (await stored(page, 'documents')).filter((d) => d.path.endsWith(path) && (job === undefined || d.job === job));
  return all.sort((a, b) => a.change - b.change).at(-1)?.text ?? '';
}

export const restoreAll = async (page) => {
  await page.locator('h1').waitFor();
  for (const box of await page.getByRole('checkbox').all()) await box.check();
};

/** Every page once, with a test that has something to show on each. */
export async function everyPage(t, visit, language) {
  const { page } = t;
  const hand = await open(t, language);
  await visit('tests-empty');
  await upToPoints(hand);
  await visit('6-points-start');
  await hand.points(rows.slice(0, 6));
  await settled(page, 6);
  await page.waitForTimeout(100);
  await visit('6-points');
  await hand.pad('270');
  await page.locator('.doubt').waitFor().catch(() => undefined);
  await visit('6-points-doubt');
  for (let i = 0; i < 3; i += 1) await hand.key('back');
  for (const [step, name] of [[1, '1-standard'], [2, '2-place'], [3, '3-instruments'], [4, '4-preparation'], [5, '5-baseline'], [7, '7-after'], [8, '8-restore'], [9, '9-sheet']]) {
    await hand.goStep(step);
    await page.locator('main h1').waitFor();
    if (step === 3) while ((await page.locator('details:not([open]) > summary').count()) > 0) await page.locator('details:not([open]) > summary').first().click();
    if (step === 9) await page.frameLocator('iframe').locator('body').waitFor();
    await page.waitForTimeout(150);
    await visit(name);
  }
  await page.getByRole('button', { name: hand.w('step-all') }).click();
  await visit('steps');
  await page.keyboard.press('Escape');
  await page.getByRole('button', { name: hand.w('bar-tests') }).click();
  await page.locator('a.test').first().waitFor();
  await visit('tests');
  await page.getByRole('link', { name: hand.w('bar-books') }).click();
  await page.getByRole('button', { name: hand.w('books-add') }).first().click();
  await visit('books');
  await page.getByRole('link', { name: hand.w('bar-device') }).click();
  await page.locator('h1').waitFor();
  await visit('device');
}


/** Every page there is. */
export async function everything(t, visit) {
  await everyPage(t, visit);
  await everyHousePage(t, visit);
}

/** Every page of a whole house: the invented one, and a new one before anything is read. */
export async function everyHousePage(t, visit) {
  const { page } = t;
  const hand = await open(t);
  await page.getByRole('button', { name: hand.w('houses-new') }).click();
  await page.locator('h1').waitFor();
  await visit('house-new');
  await page.getByRole('textbox', { name: hand.w('begin-name') }).fill('Fenton Row');
  await page.getByRole('button', { name: hand.w('begin-make') }).click();
  await housePart(t, hand, 'house');
  await visit('house-unread');
  await page.getByRole('button', { name: hand.w('bar-tests') }).click();
  await demoHouse(t, hand);
  await visit('house');
  await page.locator('details > summary').first().click();
  await page.locator('details ul.lines button').first().click();
  await page.locator('dialog[open]').waitFor();
  await page.waitForTimeout(250);
  await visit('house-thing');
  await page.keyboard.press('Escape');
  for (const part of ['visit', 'known', 'plans', 'report', 'papers']) {
    await housePart(t, hand, part);
    await visit(`house-${part}`);
  }
  await page.getByRole('button', { name: 'house.toml' }).click();
  await page.locator('textarea').waitFor();
  await visit('house-paper');
}

/** Opens the invented house and waits for its drawing. */
export async function demoHouse(t, hand) {
  const { page } = t;
  await page.getByRole('button', { name: hand.w('houses-demo') }).click();
  await page.locator('.fragment svg:visible').first().waitFor({ timeout: 60_000 });
  await page.waitForFunction(() => !document.querySelector('[aria-busy=true]'), undefined, { timeout: 60_000 });
}

/** Goes to a page of the open house and waits until it shows something. */
export async function housePart(t, hand, part) {
  const { page } = t;
  await page.locator('nav').getByRole('link', { name: hand.w(`job-bar-${part}`), exact: true }).click();
  const shown = part === 'papers' ? 'ul.lines button' : part === 'report' ? 'iframe' : '.fragment, h2';
  await page.locator(shown).first().waitFor({ timeout: 60_000 });
  await page.waitForTimeout(200);
}
