// The watch: a made-up desk of ten million readings, and series among the documents of a job.
import assert from 'node:assert/strict';
import { cpus, loadavg } from 'node:os';
import { join } from 'node:path';
import { strToU8, unzipSync, zipSync } from 'fflate';
import { demoHouse, downloaded, housePart, open, test, until } from './common.mjs';
import { desk, series } from './made-up.mjs';

const DAY = 86_400_000;

/** Opens the invented house on a made-up desk and goes to its watch. */
async function atDesk(t, language) {
  const { page } = t;
  const made = await desk();
  t.url = made.url;
  const hand = await open(t, language);
  await demoHouse(t, hand);
  assert.equal(await page.getByRole('link', { name: hand.w('job-bar-watch'), exact: true }).count(), 0, 'nothing to watch yet');
  await page.evaluate(() => {
    const detail = { fetcher: (path, init) => fetch(path, init), name: () => 'made-up' };
    window.dispatchEvent(new CustomEvent('airwright-desk', { detail }));
  });
  await page.getByRole('link', { name: hand.w('job-bar-watch'), exact: true }).click();
  await page.locator('canvas[data-trace]').first().waitFor();
  await page.locator('#watch-events').waitFor({ timeout: 30_000 });
  await page.waitForTimeout(600);
  return { made, hand };
}

const window_ = async (page) => (await page.locator('[data-window]').getAttribute('data-window')).split(' ').map(Number);
const span = async (page) => {
  const [from, to] = await window_(page);
  return to - from;
};

/** Waits until the window that is written says so. */
const untilSpan = (page, ms, what) => until(async () => Math.abs((await span(page)) - ms) < 0.02 * ms, what);

/** Frames in a second while something runs, and the longest time between two. */
const frames = (page, run, ms) =>
  page.evaluate(
    ([code, ms]) =>
      new Promise((done) => {
        const each = new Function('part', code);
        const began = performance.now();
        let [count, last, longest] = [0, began, 0];
        const frame = (now) => {
          if (now - began >= ms) return done({ rate: (1000 * count) / (now - began), longest });
          count += 1;
          longest = Math.max(longest, now - last);
          last = now;
          each((now - began) / ms);
          requestAnimationFrame(frame);
        };
        requestAnimationFrame(frame);
      }),
    [run, ms],
  );

// A finger that wipes over the rows, some times to the right and some to the left, faster and slower; what is drawn is
// looked at on the way.
const PAN = `
  const plots = document.querySelector('.plots');
  const box = plots.getBoundingClientRect();
  const at = (type, x) => plots.dispatchEvent(new PointerEvent(type, { pointerId: 7, pointerType: 'touch', button: type === 'pointerdown' ? 0 : -1, buttons: 1, isPrimary: true, bubbles: true, clientX: x, clientY: box.top + 120 }));
  const state = (window.pan ??= { way: 1, wipes: 0, down: false, blank: 0, seen: 0 });
  if (!state.down) {
    state.x = box.left + (state.way > 0 ? 0.1 : 0.9) * box.width;
    at('pointerdown', state.x);
    state.down = true;
  }
  // As fast as a hand, whatever the frames: 360 to 1200 px a second.
  state.x += state.way * (360 + 840 * Math.abs(Math.sin(20 * part))) * (part - (state.last ?? part)) * window.panSeconds;
  state.last = part;
  at('pointermove', state.x);
  if (state.x < box.left + 0.1 * box.width || state.x > box.left + 0.9 * box.width) {
    at('pointerup', state.x);
    state.down = false;
    if (++state.wipes % window.panWipes === 0) state.way = -state.way;
  }
  if (++state.seen % 10 === 0) {
    const c = document.querySelector('canvas[data-trace="3"]');
    const data = c.getContext('2d').getImageData(60, 4, c.width - 64, c.height - 16);
    let dark = 0;
    for (let x = 0; x < data.width; x += 4) {
      let any = false;
      for (let y = 0; y < data.height && !any; y += 1) { const i = 4 * (y * data.width + x); any = data.data[i + 3] > 60 && data.data[i] < 110 && data.data[i + 1] < 110; }
      dark += any ? 1 : 0;
    }
    if (dark < 0.6 * (data.width / 4)) state.blank += 1;
  }
`;

test('ten million readings of a desk pan at thirty frames a second', async (t) => {
  const { page } = t;
  // All eight rows are on the screen.
  const { made, hand } = await atDesk(t);
  try {
    assert.ok((await page.locator('.lead').first().innerText()).startsWith('10,000,000'), await page.locator('.lead').first().innerText());
    made.state.wait_ms = 40;
    for (const [name, length] of [['year', 365 * DAY], ['month', 30 * DAY], ['day', DAY]]) {
      await page.getByRole('button', { name: hand.w(`watch-${name}`), exact: true }).click();
      await untilSpan(page, length, name);
      // Where it pans there are readings on both sides.
      await page.getByRole('button', { name: hand.w('watch-earlier') }).click();
      const seconds = name === 'month' ? 10 : 5;
      await page.evaluate(([wipes, s]) => ([window.panWipes, window.panSeconds] = [wipes, s]), [name === 'year' ? 1 : 5, seconds]);
      await page.waitForTimeout(800);
      const [before] = await window_(page);
      const blankPage = await page.context().newPage();
      const empty = await frames(blankPage, '', 1500);
      await blankPage.close();
      await page.bringToFront();
      const asked = made.asked.length;
      await page.evaluate(() => delete window.pan);
      const panned = await frames(page, PAN, 1000 * seconds);
      await page.waitForTimeout(400);
      const [after] = await window_(page);
      const wipes = await page.evaluate(() => window.pan.wipes);
      const blank = await page.evaluate(() => window.pan.blank);
      console.log(
        `      ${name}: ${panned.rate.toFixed(1)} frames a second, longest ${panned.longest.toFixed(0)} ms (an empty page ${empty.rate.toFixed(1)}, load ${loadavg()[0].toFixed(1)} on ${cpus().length} cores); ` +
          `${wipes} wipes, ended ${((after - before) / DAY).toFixed(1)} days from where it began, ${made.asked.length - asked} pieces fetched, ${blank} looks at a blank row`,
      );
      assert.ok(wipes >= 3, 'it moved');
      assert.equal(blank, 0, 'what is not there yet is drawn from the coarser piece');
      // Half of what an empty page has, which is thirty of sixty; where other programs wait for the same cores, down to half of that.
      const least = Math.min(30, 0.5 * empty.rate) / Math.min(2, Math.max(1, loadavg()[0] / cpus().length));
      assert.ok(panned.rate >= least, `${panned.rate} frames, at least ${least}`);
    }
  } finally {
    await made.stop();
  }
}, { viewport: { width: 1280, height: 1500 } });

test('a reading of a desk is shown within a second, and the link comes back', async (t) => {
  const { page } = t;
  const { made, hand } = await atDesk(t);
  try {
    await until(() => made.listeners() === 1, 'the page listens');
    await page.locator('[data-live=true]').waitFor();
    const reading = page.locator('[data-reading="1"]');
    await reading.scrollIntoViewIfNeeded();
    const [, to] = await window_(page);
    for (const ppm of [1234, 4321]) {
      const time = made.last(1) + 60_000;
      const began = performance.now();
      made.push(1, time, ppm * 1e-6);
      const text = ppm.toLocaleString('en-US');
      await page.waitForFunction(([text]) => document.querySelector('[data-reading="1"]').textContent.includes(text), [text], { timeout: 1000, polling: 20 });
      console.log(`      shown after ${(performance.now() - began).toFixed(0)} ms`);
    }
    // The window goes with the newest reading.
    made.push(1, made.last(1) + 6 * 3_600_000, 700e-6);
    await until(async () => (await window_(page))[1] > to + 3_600_000, 'the window follows');
    // A window elsewhere stays.
    for (let k = 0; k < 3; k += 1) await page.getByRole('button', { name: hand.w('watch-earlier') }).click();
    await page.waitForTimeout(300);
    const still = await window_(page);
    made.push(1, made.last(1) + 60_000, 701e-6);
    await page.waitForTimeout(500);
    assert.deepEqual(await window_(page), still);
    // The link is cut and comes back: nobody has to do anything.
    made.cut();
    await until(() => made.listeners() === 1, 'the page listens again');
    await page.locator('[data-live=true]').waitFor();
    made.push(1, made.last(1) + 60_000, 777e-6);
    await page.waitForFunction(() => document.querySelector('[data-reading="1"]').textContent.includes('777'), undefined, { timeout: 1000, polling: 20 });
    // Whoever leaves the page does not listen on.
    await housePart(t, hand, 'house');
    await until(() => made.listeners() === 0, 'nobody listens');
  } finally {
    await made.stop();
  }
});

test('a desk tells filters, nights, alerts, what is owed and rules, and what is new within a second', async (t) => {
  const { page, shots } = t;
  const { made, hand } = await atDesk(t);
  try {
    assert.match(await page.locator('.filter .due').innerText(), /Jan.* 2027/);
    const alerts = page.locator('[data-alerts] li');
    assert.equal(await alerts.count(), 2);
    assert.match(await alerts.first().innerText(), /ventilator, intake flow.*\u221238\scfm[^]*in 5 months/, 'the newest first, with its rate');
    assert.match(await page.locator('[data-owed]').innerText(), /owed 9 h/);
    assert.match(await page.locator('[data-rules]').innerText(), /nothing is commanded[^]*ventilator to 100 %[^]*a signal is lost/);
    const nights = page.locator('details', { hasText: hand.w('watch-nights') });
    await nights.locator('summary').click();
    assert.match(await nights.innerText(), /bedroom, CO2[^]*0\.42 1\/h/);
    assert.equal(await page.getByText(hand.w('watch-no-band')).count(), 0);
    for (const [width, height, theme] of [[390, 844, 'sun'], [1280, 1400, 'dark'], [1280, 1400, 'light'], [390, 844, 'light']]) {
      await page.setViewportSize({ width, height });
      await page.evaluate((x) => (document.documentElement.dataset.theme = x), theme);
      await page.locator('[data-alerts]').evaluate((e) => e.scrollIntoView({ block: 'start' }));
      await page.waitForTimeout(200);
      assert.equal(await page.evaluate(() => document.documentElement.scrollWidth <= window.innerWidth), true, `no wider than ${width}`);
      await page.screenshot({ path: join(shots, `watch-desk-${width}-${theme}.png`) });
    }
    await until(() => made.listeners() === 1, 'the page listens');
    const more = { kind: 'silence', of: 'living_rh', time_ms: made.last(1), end_ms: null, event: null, grave: false, text: 'living, relative humidity: nothing sent for 5 h.', rate: 'no chance in it: it says what is there' };
    const began = performance.now();
    made.tell({ alerts: [...made.state.standing.alerts, more], owed: 'relative exposure 1.21, owed 10 h of one excess exposure' });
    await page.waitForFunction(() => document.querySelector('[data-alerts]').innerText.includes('living, relative humidity: nothing sent'), undefined, { timeout: 1000, polling: 20 });
    console.log(`      told after ${(performance.now() - began).toFixed(0)} ms`);
    assert.match(await page.locator('[data-owed]').innerText(), /owed 10 h/);
    // Carbon monoxide goes to the top.
    made.tell({ alerts: [...made.state.standing.alerts, { ...more, kind: 'carbon-monoxide', grave: true, text: 'bedroom 80 ppm: everybody out' }] });
    await page.waitForFunction(() => document.querySelector('.grave')?.innerText.includes('80 ppm'), undefined, { timeout: 1000, polling: 20 });
  } finally {
    await made.stop();
  }
});

test('the watch by the keyboard alone, with its events and its table', async (t) => {
  const { page } = t;
  const { made, hand } = await atDesk(t);
  try {
    const plots = page.getByRole('group', { name: hand.w('watch-plots') });
    await plots.focus();
    const first = await span(page);
    await page.keyboard.press('+');
    await untilSpan(page, first / 2, 'plus halves it');
    await page.keyboard.press('-');
    await untilSpan(page, first, 'minus doubles it');
    const [from] = await window_(page);
    await page.keyboard.press('Shift+ArrowLeft');
    await until(async () => Math.abs((await window_(page))[0] - (from - first)) < 0.02 * first, 'a window to the left');
    await page.keyboard.press('Home');
    await page.keyboard.press('End');
    await until(async () => (await window_(page))[1] > made.last(1), 'the end');
    // A reading line reads every row.
    await page.keyboard.press('Enter');
    await page.keyboard.press(',');
    await until(async () => (await page.locator('[data-reading="1"]').innerText()).includes(hand.w('watch-to')), 'the line reads least and greatest');
    await page.getByText(hand.w('watch-expected'), { exact: false }).first().waitFor();
    await page.keyboard.press('Escape');
    await until(async () => (await page.locator('[data-reading="1"]').innerText()).startsWith(hand.w('watch-last')), 'the line is gone');
    // From years to seconds.
    for (let k = 0; k < 16; k += 1) await page.keyboard.press('+');
    await until(async () => (await span(page)) < 30_000, 'seconds');
    await page.getByRole('button', { name: hand.w('watch-all'), exact: true }).press('Enter');
    await until(async () => (await span(page)) > 800 * DAY, 'all of it');
    // The overview is a slider.
    const slider = page.getByRole('slider', { name: hand.w('watch-overview') });
    await page.getByRole('button', { name: hand.w('watch-month'), exact: true }).press('Enter');
    await untilSpan(page, 30 * DAY, 'a month');
    const before = (await window_(page))[0];
    await slider.focus();
    await page.keyboard.press('ArrowLeft');
    await until(async () => (await window_(page))[0] < before - DAY, 'the slider moves it');
    assert.match(await slider.getAttribute('aria-valuetext'), /20\d\d/);
    // An event: the window goes there, and what may be behind it is told.
    const event = page.getByRole('button', { name: new RegExp(hand.w('watch-event')) }).first();
    await event.press('Enter');
    assert.equal(await event.getAttribute('aria-expanded'), 'true');
    await page.getByText('ventilator: moves about 60 % less air').first().waitFor();
    await page.getByText(hand.w('watch-look'), { exact: false }).first().waitFor();
    await until(async () => Math.abs((await window_(page))[1] - made.last(1)) < 3 * DAY, 'the window goes there');
    // The window as a table says what is outside.
    await page.getByText(hand.w('watch-table'), { exact: true }).press('Enter');
    const table = page.locator('table[data-table="7"]');
    await table.waitFor();
    const text = await table.innerText();
    assert.ok(text.includes(hand.w('watch-outside')) && text.includes(hand.w('watch-within')) && text.includes('cfm'), text);
    assert.equal(await table.locator('tbody tr').count(), 8);
  } finally {
    await made.stop();
  }
});

test('fingers and wheel move the watch', async (t) => {
  const { page } = t;
  const { made } = await atDesk(t);
  try {
    const finger = (type, id, x) =>
      page.evaluate(
        ([type, id, x]) => {
          const plots = document.querySelector('.plots');
          const box = plots.getBoundingClientRect();
          plots.dispatchEvent(new PointerEvent(type, { pointerId: id, pointerType: 'touch', button: type === 'pointerdown' ? 0 : -1, bubbles: true, clientX: box.left + x, clientY: box.top + 200 }));
        },
        [type, id, x],
      );
    const first = await span(page);
    const [from] = await window_(page);
    await finger('pointerdown', 1, 150);
    await finger('pointermove', 1, 250);
    await finger('pointerup', 1, 250);
    await until(async () => (await window_(page))[0] < from - 0.1 * first, 'a finger to the right shows what was before');
    await finger('pointerdown', 1, 150);
    await finger('pointerdown', 2, 200);
    await finger('pointermove', 2, 300);
    await finger('pointerup', 1, 150);
    await finger('pointerup', 2, 300);
    await untilSpan(page, first / 3, 'two fingers apart show a third');
    const third = await span(page);
    for (let k = 0; k < 2; k += 1) {
      await finger('pointerdown', 1, 200);
      await finger('pointerup', 1, 200);
    }
    await untilSpan(page, third / 2, 'two touches zoom');
    await page.locator('[data-axis]').scrollIntoViewIfNeeded();
    const box = await page.locator('[data-axis]').boundingBox();
    await page.mouse.move(box.x + box.width / 2, box.y + 8);
    await page.mouse.wheel(0, 200);
    await until(async () => (await span(page)) > 0.7 * third, 'the wheel zooms over the axis');
  } finally {
    await made.stop();
  }
});

test('series of a job are drawn with what was expected, events and the filter', async (t) => {
  const { page, shots } = t;
  const hand = await open(t);
  await demoHouse(t, hand);
  await housePart(t, hand, 'report');
  const zip = await downloaded(page, () => page.getByRole('button', { name: hand.w('job-take') }).click());
  const files = unzipSync(new Uint8Array(zip.bytes));
  const folder = Object.keys(files).find((n) => n.endsWith('job.toml')).replace('job.toml', '');
  for (const [name, text] of Object.entries(series())) files[folder + name] = strToU8(text);
  await page.getByRole('button', { name: hand.w('bar-tests') }).click();
  await page.locator('input[type=file]').first().setInputFiles({ name: 'house.zip', mimeType: 'application/zip', buffer: Buffer.from(zipSync(files)) });
  await page.locator('.fragment svg:visible').first().waitFor({ timeout: 60_000 });
  const began = performance.now();
  await page.locator('nav').getByRole('link', { name: hand.w('job-bar-watch'), exact: true }).click();
  await page.locator('canvas[data-trace="bedroom.co2"]').waitFor();
  console.log(`      rows after ${(performance.now() - began).toFixed(0)} ms`);
  await page.locator('#watch-events').waitFor({ timeout: 150_000 });
  console.log(`      judged after ${((performance.now() - began) / 1000).toFixed(1)} s`);
  // Carbon monoxide is the first thing on the page: what to do, the value, the level.
  assert.match(await page.locator('.grave').innerText(), /12.ppm.*9 ppm/);
  // The bedroom left what is expected; the list says it with causes.
  const event = page.getByRole('button', { name: /CO2/ }).first();
  await event.click();
  await page.getByRole('heading', { name: hand.w('watch-causes') }).waitFor();
  await page.locator('canvas[data-trace="bedroom.co2"]').scrollIntoViewIfNeeded();
  await page.waitForTimeout(1000);
  const pixels = await page.locator('canvas[data-trace="bedroom.co2"]').evaluate((c) => {
    const of = (name) => {
      const g = document.createElement('canvas').getContext('2d');
      g.fillStyle = getComputedStyle(document.documentElement).getPropertyValue(`--${name}`).trim();
      return [1, 3, 5].map((k) => parseInt(g.fillStyle.slice(k, k + 2), 16));
    };
    const { data } = c.getContext('2d').getImageData(60, 0, c.width - 60, c.height);
    const count = ([r, g, b]) => {
      let n = 0;
      for (let k = 0; k < data.length; k += 4) if (data[k] === r && data[k + 1] === g && data[k + 2] === b) n += 1;
      return n;
    };
    return Object.fromEntries(['bg', 'wash', 'ink', 'caution'].map((name) => [name, count(of(name))]));
  });
  assert.ok(pixels.bg > 200 && pixels.wash > 200 && pixels.ink > 100 && pixels.caution > 100, `ground, band, line and what is outside: ${JSON.stringify(pixels)}`);
  // The filter: a date with its interval, later than the readings.
  const filter = page.locator('.filter').first();
  assert.match(await filter.locator('.due').innerText(), /20\d\d/);
  await page.screenshot({ path: join(shots, 'watch-job.png'), fullPage: false });
  // It is not lived through again when one comes back.
  await housePart(t, hand, 'known');
  await page.locator('nav').getByRole('link', { name: hand.w('job-bar-watch'), exact: true }).click();
  await page.locator('#watch-events').waitFor({ timeout: 5000 });
});

test('the watch can be used by everybody: names, contrast, room for fingers, narrow and wide', async (t) => {
  const { page, axe, shots } = t;
  const { made, hand } = await atDesk(t);
  const found = [];
  try {
    await page.getByRole('button', { name: new RegExp(hand.w('watch-event')) }).first().click();
    await page.getByText(hand.w('watch-table'), { exact: true }).click();
    await page.locator('table[data-table="8"]').waitFor();
    await page.evaluate(axe);
    for (const [width, height] of [[390, 844], [1280, 900]]) {
      await page.setViewportSize({ width, height });
      for (const theme of ['light', 'dark', 'sun']) {
        await page.evaluate((x) => (document.documentElement.dataset.theme = x), theme);
        await page.locator('canvas[data-trace="1"]').evaluate((c) => c.closest('section').scrollIntoView({ block: 'center' }));
        await page.waitForTimeout(250);
        const result = await page.evaluate(() =>
          window.axe.run(document, { iframes: false, runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice'] }),
        );
        for (const v of result.violations) found.push(`${width} ${theme}: ${v.id}: ${v.nodes.map((n) => n.target.join(' ') + ' ' + (n.any[0]?.message ?? '')).slice(0, 3).join(' | ')}`);
        await page.screenshot({ path: join(shots, `watch-${width}-${theme}.png`) });
      }
    }
    await page.evaluate(() => (document.documentElement.dataset.theme = 'light'));
    // 320 px is 1280 at four times its size; 195 is a phone at twice its own.
    for (const width of [1280, 390, 320, 195]) {
      await page.setViewportSize({ width, height: 844 });
      await page.waitForTimeout(300);
      const wide = await page.evaluate(() => Math.max(document.documentElement.scrollWidth, document.querySelector('main').scrollWidth) - window.innerWidth);
      if (wide > 0) found.push(`${width} px: ${wide} px stand out`);
      const small = await page.locator('main :is(button, summary, [role=slider])').evaluateAll((all) =>
        all.map((e) => [e.textContent.trim() || e.getAttribute('aria-label'), e.getBoundingClientRect()]).filter(([, b]) => b.width > 0 && (b.width < 43.5 || b.height < 43.5)).map(([name, b]) => `${name} ${b.width} x ${b.height}`),
      );
      for (const one of small) found.push(`${width} px: too small: ${one}`);
    }
    assert.deepEqual([...new Set(found)], []);
  } finally {
    await made.stop();
  }
});

test('the watch speaks Spanish with its decimal comma', async (t) => {
  const { page } = t;
  await page.addInitScript(() => localStorage.setItem('airwright-language', 'es'));
  const { made, hand } = await atDesk(t, 'es');
  try {
    const page_ = await page.locator('main').innerText();
    assert.ok(page_.includes(hand.w('watch-events')) && page_.includes('10.000.000'), page_.slice(0, 400));
    await until(async () => /−?\d+,\d/.test(await page.locator('[data-reading="4"]').innerText()), 'a decimal comma');
    assert.ok(!/watch-|phone-page/.test(page_), 'every word has its text');
  } finally {
    await made.stop();
  }
});
