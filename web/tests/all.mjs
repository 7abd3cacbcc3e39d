import assert from 'node:assert/strict';
import { join } from 'node:path';
import { unzipSync, strFromU8 } from 'fflate';
import { downloaded, everything, open, restoreAll, rows, settled, test } from './common.mjs';
import { everyKind, everyOtherPlace, everySinglePlace } from './tour.mjs';
import { FT2, HOUSE, Hand, TOOLS, upToPoints } from './hand.mjs';

test('a whole test is typed to the sheet, and the number is the known one', async (t) => {
  const { page } = t;
  const hand = await open(t);
  const began = performance.now();
  await upToPoints(hand);
  const atPoints = performance.now();
  await hand.points(rows);
  await settled(page, rows.length);
  const value = await hand.answerValue();
  // How long after the last digit of a point the answer is another one, writing to the device included.
  const times = [];
  for (const digit of ['back', '8', 'back', '9', 'back', '1']) {
    if (times.length === 0) await page.locator('table.points button').last().click().then(() => hand.key('before'));
    times.push(
      await page.evaluate(async (key) => {
        const answer = document.querySelector('[data-answer]');
        const began = performance.now();
        const changed = new Promise((resolve) => new MutationObserver(resolve).observe(answer, { attributes: true }));
        document.querySelector(`[data-key="${key}"]`).click();
        await changed;
        return performance.now() - began;
      }, digit),
    );
  }
  console.log(`      answer after a digit: ${times.map((ms) => ms.toFixed(0)).join(', ')} ms`);
  assert.ok(Math.min(...times) < 50, `${times}`);
  const known = FT2.q50 / Number(HOUSE.volume);
  console.log(`      ${((performance.now() - atPoints) / 1000).toFixed(1)} s for ten points, ${((performance.now() - began) / 1000).toFixed(1)} s from the start; ACH50 ${value} (known ${known})`);
  // The baseline is 0 on the mean and this basis is not corrected for density: the line is that of the record.
  assert.ok(Math.abs(value / known - 1) < 1e-8, `${value} is not ${known}`);
  assert.ok(await page.locator('svg path.band').count(), 'the interval is drawn');
  await hand.next();
  await page.locator('[data-entry="baseline_after.0"]').waitFor();
  await hand.readings(['0.1', '0', '-0.1']);
  await hand.key('next');
  assert.equal(await hand.active(), 'conditions.indoor');
  await hand.readings(['20', '12', '1.5']);
  await hand.kept();
  await hand.goStep(8);
  await restoreAll(page);
  await hand.next();
  const frame = page.frameLocator('iframe');
  await frame.locator('body').waitFor();
  const text = await frame.locator('body').innerText();
  for (const part of [HOUSE.name, 'R. Example', 'Invented no. 12', 'Doorway Testing', 'G-17', 'F-4', 'ISO 9972'])
    assert.ok(text.includes(part), `the sheet says ${part}`);
  const shown = (await hand.answer().innerText()).trim();
  assert.ok(text.includes(shown), `the sheet shows ${shown}`);
  const job = await downloaded(page, () => page.getByRole('button', { name: hand.w('sheet-job') }).click());
  const files = unzipSync(new Uint8Array(job.bytes));
  const names = Object.keys(files);
  assert.ok(names.some((n) => n.endsWith('/job.toml')) && names.some((n) => /visits\/.*\/visit\.toml$/.test(n)), names.join());
  const visit = strFromU8(files[names.find((n) => n.endsWith('visit.toml'))]);
  for (const q of FT2.q) assert.ok(visit.includes(String(q)), `${q} stands in the visit`);
  const sheet = await downloaded(page, () => page.getByRole('button', { name: hand.w('sheet-save') }).click());
  assert.ok(sheet.name.endsWith('.html') && String(sheet.bytes).includes(HOUSE.name));
  await page.getByRole('button', { name: hand.w('sheet-close'), exact: true }).click();
  await page.getByText(hand.w('sheet-closed')).waitFor();
  // Closed after it was taken along: the list reminds.
  await hand.kept();
  await page.getByRole('button', { name: hand.w('bar-tests') }).click();
  await page.getByText(hand.w('tests-remind')).waitFor();
});

test('the job folder comes back as the same test', async (t) => {
  const { page } = t;
  const hand = await open(t);
  await upToPoints(hand);
  await hand.points(rows);
  await settled(page, rows.length);
  const value = await hand.answerValue();
  await hand.goStep(9);
  const job = await downloaded(page, () => page.getByRole('button', { name: hand.w('sheet-job') }).click());
  await page.getByRole('button', { name: hand.w('bar-tests') }).click();
  await page.locator('input[type=file]').last().setInputFiles({ name: 'job.zip', mimeType: 'application/zip', buffer: job.bytes });
  await page.getByText(hand.w('tests-imported')).waitFor();
  assert.equal(await page.locator('a.test').count(), 2);
  await page.locator('a.test').first().click();
  await hand.goStep(6);
  await settled(page, rows.length);
  const again = await hand.answerValue();
  assert.ok(Math.abs(again / value - 1) < 1e-6, `${again} is not ${value}`);
});

test('an open test without its restore list does not close', async (t) => {
  const { page } = t;
  const hand = await open(t);
  await upToPoints(hand);
  await hand.points(rows.slice(0, 5));
  await settled(page, 5);
  await hand.goStep(8);
  assert.ok((await page.getByRole('checkbox').count()) > 0, 'the preparation has disturbed something');
  await hand.goStep(9);
  const close = page.getByRole('button', { name: hand.w('sheet-close'), exact: true });
  await page.locator('iframe').waitFor();
  assert.ok(await close.isDisabled());
  await page.getByText(hand.w('sheet-cannot-close')).waitFor();
  await hand.goStep(8);
  await restoreAll(page);
  await hand.goStep(9);
  await page.waitForFunction((name) => [...document.querySelectorAll('button')].some((b) => b.textContent.trim() === name && !b.disabled), hand.w('sheet-close'));
});

test('a reading that contradicts is asked about and can be right or changed', async (t) => {
  const { page } = t;
  const hand = await open(t);
  await upToPoints(hand);
  await hand.points([[60, 1178], [50, 1040], [40, 897]]);
  await hand.points([['30', '7440']]);
  const doubt = page.locator('.doubt');
  await doubt.waitFor();
  assert.ok((await doubt.innerText()).includes(hand.w('challenge')));
  await page.getByRole('button', { name: hand.w('challenge-change') }).click();
  assert.equal(await hand.active(), 'stations.3.fan');
  await hand.pad('744');
  await doubt.waitFor({ state: 'detached' });
  assert.equal(await hand.entry('stations.3.fan'), '744');
  await hand.key('next');
  await hand.points([['20', '5670']]);
  await doubt.waitFor();
  await page.getByRole('button', { name: hand.w('challenge-right') }).click();
  await doubt.waitFor({ state: 'detached' });
  await hand.kept();
  await page.reload();
  await hand.ready();
  await page.locator('[data-entry]').first().waitFor();
  await page.waitForTimeout(1500);
  assert.equal(await doubt.count(), 0, 'what was said to be right stays so');
});

test('round readings raise the question whether the gauge takes the baseline out', async (t) => {
  const { page } = t;
  const hand = await open(t);
  await upToPoints(hand);
  await hand.goStep(5);
  await page.locator('[data-entry="baseline_before.3"]').waitFor();
  for (let i = 0; i < 3; i += 1) {
    await page.locator('.readings button').nth(i).click();
    for (let n = 0; n < 4; n += 1) await hand.key('back');
    await hand.pad('-2.5');
  }
  await hand.goStep(6);
  await page.locator('[data-entry="stations.0.house"]').waitFor();
  await hand.points([[60, 1178], [50, 1040]]);
  const doubt = page.locator('.doubt');
  await doubt.waitFor();
  const asked = await doubt.innerText();
  assert.match(asked, /2\.5/);
  await page.getByRole('button', { name: hand.w('challenge-change') }).click();
  // Now the typed baseline is the one that does not fit; it was typed, and that is said.
  await page.waitForFunction((old) => (document.querySelector('.doubt')?.innerText ?? '') !== old, asked);
  await hand.goStep(3);
  await page.locator('details > summary').first().click();
  assert.ok(await page.getByRole('radio', { name: hand.w('gauge-subtracts') }).isChecked());
});

test('a keyboard alone types points: digits, Enter, arrows', async (t) => {
  const { page } = t;
  const hand = await open(t);
  await upToPoints(hand);
  for (const [dp, q] of rows.slice(0, 4)) {
    await page.keyboard.type(String(dp));
    await page.keyboard.press('Enter');
    await page.keyboard.type(String(q));
    await page.keyboard.press('Enter');
  }
  await settled(page, 4);
  assert.equal(await hand.active(), 'stations.4.house');
  await page.keyboard.press('ArrowUp');
  assert.equal(await hand.active(), 'stations.3.fan');
  assert.equal(await hand.entry('stations.3.fan'), String(rows[3][1]));
  // An entry one comes back to is replaced by the next digit, not lengthened.
  await page.keyboard.type('9');
  assert.equal(await hand.entry('stations.3.fan'), '9');
  await page.keyboard.press('Escape');
  assert.equal(await hand.active(), '');
  // Digits still go to the open entry.
  await page.keyboard.type('78');
  assert.equal(await hand.entry('stations.3.fan'), '978');
  // No sign on a house pressure.
  await page.keyboard.press('ArrowUp');
  await page.keyboard.type('-45');
  assert.equal(await hand.entry('stations.3.house'), '45');
});

test('nothing is lost when the tab is killed after each of 20 random keystrokes', async (t) => {
  const { browser, url } = t;
  const hand = await open(t);
  await upToPoints(hand);
  // A fixed seed: a failure can be run again.
  let seed = 20261125;
  const random = (n) => {
    seed = (Math.imul(seed, 1103515245) + 12345) >>> 0;
    return Math.floor((seed / 2 ** 32) * n);
  };
  const table = [];
  let at = { row: 0, column: 0 };
  let page = t.page;
  for (let kill = 0; kill < 20; kill += 1) {
    const now = new Hand(page);
    const count = 1 + random(3);
    for (let i = 0; i < count; i += 1) {
      const row = (table[at.row] ??= ['', '']);
      if (row[at.column].length >= 3) {
        await now.key('next');
        at = at.column === 0 ? { row: at.row, column: 1 } : { row: at.row + 1, column: 0 };
      }
      const digit = String(1 + random(9));
      const target = (table[at.row] ??= ['', '']);
      target[at.column] += digit;
      await now.key(digit);
      await page.locator('[data-keeping="kept"]').first().waitFor();
    }
    await page.close({ runBeforeUnload: false });
    page = await browser.newPage();
    page.setDefaultTimeout(15_000);
    await page.goto(url);
    const back = new Hand(page);
    const id = `stations.${at.row}.${at.column === 0 ? 'house' : 'fan'}`;
    await page.locator(`[data-entry="${id}"]`).waitFor();
    assert.equal(await back.entry(id), table[at.row][at.column], `kill ${kill + 1}`);
    assert.equal(await back.active(), id, `kill ${kill + 1}: the same place in the table`);
    const shown = await page.locator('table.points tbody tr').evaluateAll((all) =>
      all.map((tr) => [...tr.querySelectorAll('td.n')].slice(0, 2).map((td) => (td.querySelector('.aim') ? '' : td.textContent.replace(/[^0-9.]/g, '')))),
    );
    table.forEach((row, i) => assert.deepEqual(shown[i], row, `kill ${kill + 1}, row ${i + 1}`));
  }
});

test('a key in the very moment of a new step is not lost', async (t) => {
  const { page } = t;
  const hand = await open(t);
  await upToPoints(hand);
  for (let run = 0; run < 8; run += 1) {
    await hand.goStep(5);
    await page.locator('[data-entry="baseline_before.3"]').waitFor();
    // All in one task: no answer of the storage comes between.
    await page.evaluate(async () => {
      document.querySelector('.ways button.main').click();
      for (let n = 0; n < 20; n += 1) await undefined;
      document.querySelector('[data-key="6"]').click();
    });
    await page.waitForTimeout(60);
    // The step opens at its first empty entry.
    assert.equal(await hand.entry(`stations.${run >> 1}.${run % 2 === 0 ? 'house' : 'fan'}`), '6');
  }
});

const fullStorage = () => {
  const put = IDBObjectStore.prototype.put;
  IDBObjectStore.prototype.put = function (...args) {
    if (window.full === 'throws') throw new DOMException('full', 'QuotaExceededError');
    const request = put.apply(this, args);
    if (window.full === 'aborts') this.transaction.abort();
    return request;
  };
};

for (const how of ['throws', 'aborts']) {
  test(`a full storage (${how}) is said, and nothing is lost`, async (t) => {
    const { page } = t;
    await page.addInitScript(fullStorage);
    const hand = await open(t);
    await upToPoints(hand);
    await hand.points(rows.slice(0, 2));
    await hand.kept();
    await page.evaluate((h) => (window.full = h), how);
    await hand.pad('40');
    await page.locator('[data-keeping="not-kept"]').first().waitFor();
    await page.getByRole('alert').filter({ hasText: hand.w('storage-full') }).waitFor();
    await hand.key('next');
    await hand.pad('897');
    assert.equal(await hand.entry('stations.2.fan'), '897');
    // It can leave the device at once.
    const job = await downloaded(page, () => page.getByRole('button', { name: hand.w('storage-export') }).click());
    const files = Object.values(unzipSync(new Uint8Array(job.bytes))).map((b) => strFromU8(b)).join('\n');
    assert.ok(files.includes('897'), 'the zip holds what the storage refused');
    // Leaving the test and coming back does not lose it either.
    await page.getByRole('button', { name: hand.w('bar-tests') }).click();
    await page.locator('a.test').first().click();
    await page.locator('table.points').waitFor();
    assert.ok((await page.locator('table.points').innerText()).includes('897'));
    // There is room again in the very moment of the tap: any other write would take the button away first.
    await page.getByRole('button', { name: hand.w('storage-retry') }).evaluate((button) => {
      window.full = '';
      button.click();
    });
    await hand.kept();
    await page.reload();
    await page.locator('table.points').waitFor();
    assert.ok((await page.locator('table.points').innerText()).includes('897'));
  });
}

test('Spanish, with its decimal comma', async (t) => {
  const { page } = t;
  const hand = await open(t, 'es');
  assert.equal(await page.evaluate(() => document.documentElement.lang), 'es');
  await upToPoints(hand);
  await hand.points(rows.slice(0, 3));
  await hand.key('5');
  await hand.key('.');
  await hand.key('5');
  assert.equal(await hand.entry('stations.3.house'), '5,5');
  await page.locator('[data-answer]').waitFor();
  assert.match(await hand.answer().innerText(), /\d,\d/);
  const english = new Hand(page, 'en').words;
  const same = new Set(['app', 'units-si', 'second']);
  for (let step = 1; step <= 9; step += 1) {
    await hand.goStep(step);
    await page.locator('main h1').waitFor();
    const text = await page.locator('body').innerText();
    assert.ok(!text.includes('phone-'), `step ${step} shows a bare key`);
    for (const [key, value] of english) {
      if (same.has(key) || value.length < 12 || hand.words.get(key) === value) continue;
      assert.ok(!text.includes(value), `step ${step} says in English: ${value}`);
    }
  }
  const frame = page.frameLocator('iframe');
  await frame.locator('body').waitFor();
  assert.equal(await frame.locator('html').getAttribute('lang'), 'es');
}, { locale: 'es-ES' });

test('books are entered once and fill a test with one touch', async (t) => {
  const { page } = t;
  const hand = await open(t);
  await hand.fresh();
  await hand.profile(/ISO 9972/);
  await hand.next();
  await hand.place(HOUSE);
  await page.getByRole('button', { name: hand.w('keep-in-book') }).click();
  await page.getByRole('button', { name: hand.w('kept-in-book') }).waitFor();
  await hand.next();
  await hand.instruments({ ...TOOLS, keep: true });
  await page.getByRole('button', { name: hand.w('bar-tests') }).click();
  await hand.fresh();
  await hand.profile(/ISO 9972/);
  await hand.next();
  await page.getByRole('button', { name: HOUSE.name, exact: true }).click();
  await page.waitForFunction((v) => [...document.querySelectorAll('input')].some((i) => i.value === v), HOUSE.source);
  await hand.next();
  for (const name of ['Gauge A · G-17', 'Fan B · F-4', TOOLS.tester.name]) await page.getByRole('button', { name, exact: true }).click();
  await page.locator('.note.says').waitFor();
  await hand.kept();
  // Another standard has other limits.
  await hand.goStep(1);
  await hand.choose(hand.w('profile-lead'), /E779/);
  await hand.goStep(2);
  await page.getByRole('button', { name: HOUSE.name, exact: true }).click();
  assert.equal(await page.getByLabel(hand.w('place-limit')).first().inputValue(), '');
  await page.getByRole('button', { name: hand.w('bar-tests') }).click();
  await page.getByRole('link', { name: hand.w('bar-books') }).click();
  await page.getByText('Gauge A · G-17').waitFor();
});

for (const [width, height] of [[390, 844], [1280, 800]]) {
  test(`every page is photographed at ${width}`, async (t) => {
    await everything(t, async (name) => {
      await t.page.screenshot({ path: join(t.shots, `${name}-${width}.png`) });
      const tall = await t.page.evaluate(() => document.querySelector('main').scrollHeight);
      if (tall > height - 120 && !name.includes('6-')) {
        await t.page.setViewportSize({ width, height: tall + 200 });
        await t.page.screenshot({ path: join(t.shots, `whole-${name}-${width}.png`) });
        await t.page.setViewportSize({ width, height });
      }
    });
  }, { viewport: { width, height } });
}

const themeOf = async (page, theme) => page.evaluate((x) => (document.documentElement.dataset.theme = x), theme);

/** All there is, in walks that a test can take each; the app's own list of its places says whether one was missed. */
const WALKS = [
  ['single tests, books, device', everySinglePlace],
  ['whole houses, every step', everyOtherPlace],
  ['every kind of test in a visit', everyKind],
];

for (const [what, walk] of WALKS) {
  test(`axe-core finds nothing in three themes: ${what}`, async (t) => {
    const { page, axe } = t;
    const found = [];
    await walk(t, async (name) => {
      await page.evaluate(axe);
      for (const theme of ['light', 'dark', 'sun']) {
        await themeOf(page, theme);
        const result = await page.evaluate(() =>
          window.axe.run(document, {
            // The sheet is a page of its own, tested with the report; the keys of a dialog live in its top layer.
            iframes: false,
            runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice'],
          }),
        );
        for (const v of result.violations) found.push(`${name}, ${theme}: ${v.id}: ${v.nodes.map((n) => n.target.join(' ') + ' ' + (n.any[0]?.message ?? '')).slice(0, 3).join(' | ')}`);
      }
      await themeOf(page, 'auto');
    });
    assert.deepEqual([...new Set(found)], []);
  }, { longest_s: 900 });
}

/** What reaches beyond the right edge, where that makes the page or a part of it scroll. */
const sideways = () =>
  [document.documentElement, ...document.querySelectorAll('main, dialog[open]')]
    .filter((one) => one.scrollWidth > one.clientWidth)
    .map((one) => {
      const edge = one.getBoundingClientRect().left + one.clientWidth + 0.5;
      const beyond = [...one.querySelectorAll('*')].filter((x) => x.getBoundingClientRect().right > edge && !x.matches('.skip, svg *')).slice(-2);
      return `${one.tagName} ${one.scrollWidth} > ${one.clientWidth}: ${beyond.map((x) => `${x.tagName}.${x.className} ${x.textContent.trim().slice(0, 20)}`).join(' | ')}`;
    });

const small = () => {
  const seen = [];
  for (const one of document.querySelectorAll('button, a[href], input, summary, textarea, select')) {
    if (one.closest('dialog:not([open])') || (document.querySelector('dialog[open]') && !one.closest('dialog'))) continue;
    if (one.matches('.skip, .hidden')) continue;
    // What a label surrounds is touched by touching the label.
    const box = (one.closest('label') ?? one).getBoundingClientRect();
    if (box.width === 0 || box.height === 0) continue;
    if (box.width < 43.9 || box.height < 43.9) seen.push(`${one.tagName} ${one.className} "${one.textContent.trim().slice(0, 20)}" ${box.width.toFixed(0)}x${box.height.toFixed(0)}`);
  }
  return seen;
};

for (const [what, walk] of WALKS) {
  test(`targets are 44 px at 360 px, without scrolling sideways: ${what}`, async (t) => {
    const { page } = t;
    const found = [];
    await walk(t, async (name) => {
      for (const theme of ['auto', 'sun']) {
        await themeOf(page, theme);
        await page.waitForTimeout(60);
        for (const one of await page.evaluate(small)) found.push(`${name}, ${theme}: ${one}`);
        for (const one of await page.evaluate(sideways)) found.push(`${name}, ${theme}: ${one}`);
      }
      await themeOf(page, 'auto');
    });
    assert.deepEqual(found, []);
  }, { viewport: { width: 360, height: 640 }, longest_s: 600 });

  test(`text at 200 % loses nothing sideways: ${what}`, async (t) => {
    const { page } = t;
    const found = [];
    await walk(t, async (name) => {
      await page.evaluate(() => document.documentElement.style.setProperty('font-size', '200%'));
      await page.waitForTimeout(60);
      for (const one of await page.evaluate(sideways)) found.push(`${name}: ${one}`);
      await page.evaluate(() => document.documentElement.style.removeProperty('font-size'));
    });
    assert.deepEqual(found, []);
  }, { longest_s: 600 });
}
