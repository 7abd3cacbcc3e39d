// The page speaks the language of the phone, whatever the job is written in.
import assert from 'node:assert/strict';
import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { demoHouse, housePart, open, stored, test, until } from './common.mjs';

const texts = (language) => {
  const folder = new URL(`../../report/locales/${language}/`, import.meta.url);
  return readdirSync(folder).filter((n) => n.endsWith('.ftl')).map((n) => readFileSync(new URL(n, folder), 'utf8')).join('\n');
};

/** Pieces of a catalogue's texts between what is put in: several words each. */
const pieces = (text) => [
  ...new Set(
    text
      .split('\n')
      .filter((line) => !line.trimStart().startsWith('#'))
      .map((line) => line.replace(/^\s*\.?[\w-]+ = /, '').replace(/^\s*\*?\[[\w-]+\]\s*/, ''))
      .flatMap((line) => line.split(/[{}]/))
      .map((piece) => piece.trim())
      .filter((piece) => piece.length >= 14 && piece.includes(' ') && !piece.includes('$')),
  ),
];

/** All text of the page with its names for those who hear it, fragments' shadows too; documents in frames are not the page. */
const said = (page) =>
  page.evaluate(() => {
    const out = [];
    const walk = (node) => {
      if (node.nodeType === Node.TEXT_NODE) out.push(node.data);
      if (node.nodeType === Node.ELEMENT_NODE) {
        if (['SCRIPT', 'STYLE', 'IFRAME', 'TEXTAREA', 'CODE'].includes(node.tagName)) return;
        for (const name of ['aria-label', 'placeholder', 'title', 'alt']) out.push(node.getAttribute(name) ?? '');
      }
      if (node.shadowRoot) for (const child of node.shadowRoot.childNodes) walk(child);
      for (const child of node.childNodes) walk(child);
    };
    walk(document.body);
    // A word of the documents stands between backticks, in every language the same.
    return out.map((text) => text.replace(/`[^`]*`/g, ' ')).join('\n').replace(/\s+/g, ' ');
  });

const documents = async (page) => (await stored(page, 'documents')).map((d) => d.text ?? '').join('\n');

test('an English job on a Spanish phone: no English around it, and its documents stay English', async (t) => {
  const { page, shots } = t;
  await page.addInitScript(() => localStorage.setItem('airwright-language', 'es'));
  const hand = await open(t, 'es');
  await demoHouse(t, hand);
  const spanish = texts('es');
  const own = await documents(page);
  const english = pieces(texts('en')).filter((piece) => !spanish.includes(piece) && !own.includes(piece));
  assert.ok(english.length > 500);
  const rest = async () => {
    await page.waitForTimeout(200);
    await page.waitForFunction(() => !document.querySelector('[aria-busy=true]'), undefined, { timeout: 60_000 });
  };
  const holds = async (what) => {
    await rest();
    const all = await said(page);
    assert.deepEqual(english.filter((piece) => all.includes(piece)), [], what);
  };
  await holds('house');
  await page.locator('details > summary').first().click();
  await page.locator('details ul.lines button').first().click();
  await page.locator('dialog[open]').waitFor();
  await holds('a thing of the house');
  await page.screenshot({ path: join(shots, 'speech-house-thing.png') });
  await page.keyboard.press('Escape');

  await housePart(t, hand, 'visit');
  await holds('visit');
  await page.screenshot({ path: join(shots, 'speech-visit.png'), fullPage: true });
  const lines = page.locator('main button.line:visible');
  const count = await lines.count();
  assert.ok(count > 5, `${count} lines`);
  for (let n = 0; n < count; n += 1) {
    const name = await lines.nth(n).innerText();
    await lines.nth(n).click();
    await page.getByRole('button', { name: hand.w('visit-all') }).waitFor();
    await holds(`visit: ${name}`);
    await page.getByRole('button', { name: hand.w('visit-all') }).click();
    await rest();
  }

  await housePart(t, hand, 'known');
  await holds('known');
  await housePart(t, hand, 'plans');
  await holds('plans');
  await page.getByRole('button', { name: hand.w('plans-build') }).click();
  await page.locator('section.list').first().waitFor();
  await holds('plans from parts');
  await page.screenshot({ path: join(shots, 'speech-plans.png') });
  await housePart(t, hand, 'report');
  await page.frameLocator('iframe').locator('h1').waitFor({ timeout: 60_000 });
  await page.locator('summary').filter({ hasText: hand.w('report-parts') }).click();
  await holds('report');
  // What leaves is the job's, until somebody chooses.
  const frame = page.frameLocator('iframe').locator('html');
  assert.equal(await frame.getAttribute('lang'), 'en');
  await page.screenshot({ path: join(shots, 'speech-report.png'), fullPage: true });
  await hand.choose(hand.w('report-language'), 'Español');
  await until(async () => (await frame.getAttribute('lang')) === 'es', 'the document is Spanish');
  // The choice is this device's, for this job.
  await page.reload();
  await page.frameLocator('iframe').locator('h1').waitFor({ timeout: 60_000 });
  assert.equal(await frame.getAttribute('lang'), 'es');
});

test('parts of the record are left out by choice, safety never', async (t) => {
  const { page, shots } = t;
  const hand = await open(t);
  await demoHouse(t, hand);
  await housePart(t, hand, 'report');
  const body = page.frameLocator('iframe').locator('body');
  await body.locator('h1').waitFor({ timeout: 60_000 });
  const which = page.getByRole('group', { name: hand.w('job-report-which'), exact: true });
  await which.getByRole('radio').nth(1).check({ force: true });
  await until(async () => (await body.innerText()).includes('Instruments'), 'the full record');
  const whole = (await body.innerText()).length;
  await page.locator('summary').filter({ hasText: hand.w('report-parts') }).click();
  const boxes = page.locator('fieldset.parts input');
  assert.ok(await boxes.first().isDisabled(), 'safety is in every record');
  for (const n of [4, 5, 6, 8]) await boxes.nth(n).uncheck();
  await until(async () => (await body.innerText()).includes('Left out of this copy'), 'what was left out is said');
  assert.ok((await body.innerText()).length < whole * 0.9);
  assert.equal(await body.locator('.safe').count(), 1);
  await page.screenshot({ path: join(shots, 'report-parts.png'), fullPage: true });
});
