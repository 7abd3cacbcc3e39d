// A whole visit typed on a phone without a network: from an empty job to the owner's page.
import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { strFromU8, unzipSync } from 'fflate';
import { demoHouse, downloaded, housePart, newest, open, test, until } from './common.mjs';

/** Hands that type a visit by the names that stand on the page. */
class Visit {
  constructor(t, hand) {
    this.t = t;
    this.page = t.page;
    this.hand = hand;
    this.w = (key) => hand.w(key);
    const text = readFileSync(new URL('../../report/locales/en/visit-forms.ftl', import.meta.url), 'utf8');
    this.words = new Map([...text.matchAll(/^(form-[a-z0-9-]+) = (.*)$/gm)].map(([, key, value]) => [key, value]));
  }

  label(key) {
    const text = this.words.get(`form-${key}`);
    if (!text) throw new Error(`no label: ${key}`);
    return text;
  }

  /** The newest text of a document on the device. */
  kept(path) {
    return newest(this.page, path, new URL(this.page.url()).hash.split('/')[2]);
  }

  async has(path, ...parts) {
    for (const part of parts) {
      await until(async () => (part instanceof RegExp ? part.test(await this.kept(path)) : (await this.kept(path)).includes(part)), `${path} holds ${part}`);
    }
  }

  /** Waits until the page says what the documents say. */
  async rest() {
    await this.page.waitForTimeout(150);
    await this.page.waitForFunction(() => !document.querySelector('[aria-busy=true]'), undefined, { timeout: 60_000 });
    await this.page.waitForTimeout(100);
  }

  async part(key) {
    await this.rest();
    await this.page.locator('main button.line', { hasText: this.w(`visit-${key}`) }).click();
    await this.page.getByRole('heading', { level: 2, name: this.w(`visit-${key}`) }).waitFor();
    await this.rest();
  }

  async back() {
    await this.rest();
    await this.page.getByRole('button', { name: this.w('visit-all') }).click();
    await this.rest();
  }

  async type(label, value, within = this.page) {
    const box = within.getByRole('textbox', { name: label, exact: true }).or(within.getByRole('textbox', { name: `${label} ${this.w('visit-needed')}`, exact: true })).first();
    await box.fill(value);
    await box.blur();
    await this.rest();
  }

  async touch(label, name, within = this.page) {
    await within.getByRole('group', { name: `${label}: ${this.w('visit-pick')}`, exact: true }).first().getByRole('button', { name, exact: true }).click();
    await this.rest();
  }

  async choose(label, name, within = this.page) {
    const group = within.getByRole('group', { name: new RegExp(`^${label}`) }).first();
    await group.getByRole('radio', { name, exact: true }).check({ force: true });
    await this.rest();
  }

  async select(label, value, within = this.page) {
    await within.getByRole('combobox', { name: new RegExp(`^${label}`) }).first().selectOption(value);
    await this.rest();
  }

  async begin(kind) {
    await this.rest();
    const more = this.page.locator('main details', { hasText: this.w('visit-more-tests') });
    const button = this.page.getByRole('button', { name: `${this.w('visit-start-test')}: ${kind}`, exact: true });
    if (!(await button.isVisible())) await more.locator('summary').click();
    await button.click();
    await this.page.getByRole('heading', { level: 2, name: kind }).waitFor();
    await this.rest();
  }

  /** Values typed one after the other on a page with the pad; an empty one goes on. */
  async pad(values) {
    await this.page.locator('input[data-entry]').first().waitFor({ timeout: 30_000 });
    for (const value of values) {
      await this.page.keyboard.type(value);
      await this.page.keyboard.press('Enter');
    }
    await this.page.waitForTimeout(900);
  }

  async add(label, within = this.page) {
    await within.getByRole('button', { name: `${this.w('visit-add')}: ${label}`, exact: true }).first().click();
    await this.rest();
  }

  cell(column, row) {
    return this.page.getByRole('textbox', { name: `${column} ${row}`, exact: true });
  }

  async rows(columns, rows) {
    for (const [r, row] of rows.entries()) for (const [c, value] of row.entries()) await this.cell(columns[c], r + 1).fill(String(value));
    await this.page.locator('main h2').first().click();
    await this.page.waitForTimeout(900);
    await this.rest();
  }
}

/** A picture that is larger than what is kept. */
const largePicture = (page) =>
  page.evaluate(async () => {
    const canvas = document.createElement('canvas');
    [canvas.width, canvas.height] = [2400, 1200];
    const paint = canvas.getContext('2d');
    paint.fillStyle = '#385';
    paint.fillRect(0, 0, 2400, 1200);
    paint.fillStyle = '#fff';
    paint.fillRect(200, 200, 700, 300);
    const blob = await new Promise((resolve) => canvas.toBlob(resolve, 'image/png'));
    return [...new Uint8Array(await blob.arrayBuffer())];
  });

test('a visit is typed from an empty job to the owner\u2019s page, without a network', async (t) => {
  const { page, shots } = t;
  const hand = await open(t);
  await until(() => page.evaluate(() => navigator.serviceWorker?.controller != null), 'the pages are kept');
  await page.context().setOffline(true);
  await page.getByRole('button', { name: hand.w('houses-new') }).click();
  await page.getByRole('textbox', { name: hand.w('begin-name') }).fill('Fenton Row');
  await page.getByRole('textbox', { name: hand.w('begin-area') }).fill('1400');
  await page.getByRole('radio', { name: hand.w('begin-foundation-crawl') }).check();
  await page.getByRole('radio', { name: hand.w('begin-ducts-below') }).check();
  await page.getByRole('checkbox', { name: hand.w('begin-burns-water-heater') }).check();
  await page.getByRole('button', { name: hand.w('begin-make') }).click();
  await page.locator('.fragment svg:visible').first().waitFor({ timeout: 60_000 });
  const v = new Visit(t, hand);
  await page.locator('nav').getByRole('link', { name: hand.w('job-bar-visit'), exact: true }).click();

  // What the people say comes first.
  await v.part('complaints');
  await page.getByRole('button', { name: hand.w('visit-complaint-add') }).click();
  await v.rest();
  await v.type(v.label('words'), 'The bedroom is stuffy in the morning');
  await v.type(v.label('who'), 'the owner');
  await v.select(v.label('quantity'), 'CO2 at night');
  await v.touch(v.label('zone'), 'bedroom');
  await v.type(v.label('complaint-limit'), '1000');
  await v.has('job.toml', 'The bedroom is stuffy in the morning', 'limit = "1000 ppm"');
  await page.screenshot({ path: join(shots, 'visit-complaints.png'), fullPage: false });
  await v.back();

  await page.getByRole('textbox', { name: new RegExp(`^${hand.w('visit-purpose')}`) }).fill('stuffy bedroom');
  await page.getByRole('textbox', { name: hand.w('visit-you') }).fill('R. Sample');
  await page.getByRole('button', { name: hand.w('visit-begin') }).click();
  await v.has('visit.toml', 'purpose = "stuffy bedroom"');
  await v.rest();
  await page.screenshot({ path: join(shots, 'visit-overview.png') });

  // The screen: one touch an item.
  await v.part('screen');
  const items = page.locator('main ol > li');
  assert.equal(await items.count(), 15);
  for (let i = 0; i < 15; i += 1) {
    await items.nth(i).getByRole('radio').first().check({ force: true });
    await v.rest();
  }
  await v.has('visit.toml', 'looked_by = "R. Sample"', '[hazards.mould]');
  const co = items.nth(0);
  await v.type(v.label('highest'), '1', co);
  await v.has('visit.toml', 'highest = "1 ppm"');
  // Fuel is there: the drawing has a water heater.
  await page.getByRole('listitem', { name: 'fuel', exact: true }).getByRole('radio', { name: 'present' }).check({ force: true });
  await v.rest();
  await v.type(v.label('looked-where'), 'every room, crawl space');
  await v.has('visit.toml', 'looked_where = "every room, crawl space"');
  await page.screenshot({ path: join(shots, 'visit-screen.png') });
  await v.back();

  // Air, and two instruments.
  await v.part('conditions');
  await v.type(v.label('indoor'), '70');
  await v.type(v.label('outdoor'), '40');
  await v.type(v.label('wind'), '4');
  await v.back();
  await v.part('instruments');
  for (const [name, measures, accuracy] of [['gauge', 'pressure', '1 % or 0.15 Pa'], ['door fan', 'air flow', '3 %']]) {
    await page.getByRole('textbox', { name: hand.w('visit-new-name') }).fill(name);
    await v.add(hand.w('visit-instruments'));
    const card = page.getByRole('group', { name: `${hand.w('visit-instruments')}: ${name}`, exact: true });
    await v.select(v.label('measures'), measures, card);
    await v.type(v.label('accuracy'), accuracy, card);
    if (measures === 'air flow') await v.select(v.label('shows'), 'flow at actual density', card);
  }
  await v.has('visit.toml', '[instrument.gauge]', '[instrument.door_fan]', 'shows = "flow at actual density"');
  await v.back();

  // The shell.
  await v.begin('leakage of the whole house');
  await page.getByText(hand.w('visit-how'), { exact: true }).click();
  await page.getByRole('heading', { name: hand.w('visit-how-steps') }).waitFor();
  await page.screenshot({ path: join(shots, 'visit-how-to.png') });
  await page.getByText(hand.w('visit-how'), { exact: true }).click();
  await v.touch(v.label('standard'), /E779/);
  await v.choose(v.label('direction'), 'depressurise');
  await v.touch(v.label('pressure-with'), 'gauge');
  await v.touch(v.label('flow-with'), 'door fan');
  // Its readings are typed with the pad of a single test, and what they say is drawn as they come.
  await page.getByRole('link', { name: `${hand.w('visit-type')}: ${hand.w('step-baseline')}` }).click();
  await v.pad(['-1.2', '-0.8', '-1.0', '-1.1', '-0.9', '']);
  await page.getByRole('heading', { level: 2, name: new RegExp(hand.w('step-points')) }).waitFor();
  await v.rest();
  const stations = [[-61, 1980], [-55, 1850], [-50, 1735], [-45, 1615], [-40, 1500], [-35, 1375], [-30, 1240], [-25, 1100], [-20, 945], [-15, 770]];
  await v.pad(stations.slice(0, 4).flatMap(([house, fan]) => [String(-house), String(fan)]));
  await page.locator('.advice').getByText(/Pa/).waitFor({ timeout: 30_000 });
  await page.locator('.picture .whisker').first().waitFor({ state: 'attached', timeout: 30_000 });
  await page.screenshot({ path: join(shots, 'visit-points.png') });
  await v.pad(stations.slice(4).flatMap(([house, fan]) => [String(-house), String(fan)]));
  await v.has('visit.toml', 'baseline_before = ["Pa", -1.2, -0.8, -1.0, -1.1, -0.9]', /stations = \{ columns = \["house Pa", "fan cfm"\]/, '[-15, 770]');
  await page.getByRole('button', { name: hand.w('points-done') }).click();
  await v.pad(['-1.0', '-0.9', '-1.2', '-1.1', '-1.0', '']);
  await page.screenshot({ path: join(shots, 'visit-after.png') });
  await page.getByRole('button', { name: `${hand.w('step-next')}: ${hand.w('visit-result')}` }).click();
  await v.has('visit.toml', 'baseline_after = ["Pa", -1.0, -0.9, -1.2, -1.1, -1.0]');
  await page.locator('[data-answer]').first().waitFor({ timeout: 30_000 });
  await page.getByRole('heading', { name: hand.w('checks') }).waitFor();
  await page.screenshot({ path: join(shots, 'visit-envelope.png'), fullPage: true });
  await page.getByText(hand.w('visit-whole-result'), { exact: true }).click();
  await page.locator('#part-tightness').waitFor({ timeout: 30_000 });
  assert.match((await page.locator('section:has(#part-tightness) .part').allInnerTexts()).join(' '), /cfm|1\/h|ACH/);
  // What was typed is there after the page was closed, and the last act can be undone.
  await page.reload();
  await page.getByText(hand.w('visit-as-table'), { exact: true }).click({ timeout: 60_000 });
  await v.cell('House', 10).waitFor({ timeout: 60_000 });
  assert.equal((await v.cell('Fan', 3).inputValue()).replace(/,/g, ''), '1735');
  await v.back();

  // Three tests of other kinds.
  await v.begin('zone pressures');
  await v.touch(v.label('zone'), 'attic');
  await v.touch(v.label('pressure-with'), 'gauge');
  await v.type(v.label('house-zone'), '-42');
  await v.type(v.label('zone-outdoors'), '-8');
  await v.type(v.label('house-outdoors'), '-50');
  await v.has('visit.toml', 'house_zone = "-42 Pa"');
  // Where it is read, with its proof, and one touch of the setup.
  await page.getByText(/attic hatch.*must fall towards zero/).waitFor();
  await page.getByRole('heading', { name: hand.w('visit-taps') }).waitFor();
  await page.locator('section[aria-labelledby="setup-h"] summary').click();
  await page.getByRole('button', { name: /attic hatch/ }).first().click();
  await v.has('visit.toml', /set.*attic_hatch|attic_hatch = "open"/s);
  await page.getByRole('button', { name: hand.w('job-undo') }).click();
  await until(async () => !(await v.kept('visit.toml')).includes('attic_hatch = "open"'), 'the touch is undone');
  await page.getByRole('button', { name: hand.w('job-redo') }).click();
  await v.has('visit.toml', 'attic_hatch = "open"');
  await v.rest();
  await page.screenshot({ path: join(shots, 'visit-zone.png'), fullPage: true });
  await v.back();

  await v.begin('flow of a fan');
  await v.touch(v.label('of'), 'bath fan');
  await v.choose(v.label('by'), 'hood');
  const flows = v.label('flows');
  for (const [n, value] of ['46', '48', '47'].entries()) await page.getByRole('textbox', { name: n === 0 ? flows : `${flows} ${n + 1}`, exact: true }).fill(value);
  await page.locator('main h2').first().click();
  await v.has('visit.toml', 'flows = ["cfm", 46, 48, 47]');
  await v.rest();
  await page.locator('#part-field').waitFor({ timeout: 30_000 });
  await v.back();

  await v.begin('moisture at a surface');
  await v.type(v.label('place'), 'bedroom corner');
  await v.type(v.label('air'), '68');
  await v.type(v.label('rh'), '62');
  await v.type(v.label('surface'), '54');
  await page.locator('#part-field').waitFor({ timeout: 30_000 });
  await v.back();

  // While holes are closed.
  await v.begin('sealing session');
  await v.rows(['Time', 'House', 'Fan'], [[0, -50, 1735], [2, -50, 1740], [4, -50, 1730], [6, -50, 1600], [8, -50, 1605], [10, -50, 1598]]);
  await v.add(v.label('repair'));
  await v.type(v.label('repair-what'), 'attic hatch sealed');
  await v.type(v.label('done'), '5 min');
  await v.has('visit.toml', '[[test.sealing_session.repair]]', 'attic hatch sealed');
  await v.back();

  // A photo is made small and kept by what it is.
  await v.part('photos');
  await page.locator('input[type=file]').setInputFiles({ name: 'corner.png', mimeType: 'image/png', buffer: Buffer.from(await largePicture(page)) });
  const picture = page.locator('figure img');
  await picture.waitFor();
  await until(async () => (await picture.evaluate((img) => img.naturalWidth)) === 1600, 'the longest side is 1600');
  await v.type(hand.w('visit-photo-shows'), 'cold corner');
  await v.has('visit.toml', /file = "attachments\/[0-9a-f]{64}\.jpg"/, 'shows = "cold corner"');
  const named = /attachments\/([0-9a-f]{64})\.jpg/.exec(await v.kept('visit.toml'))?.[1];
  await v.back();

  // May I leave? Not before all is put back.
  await v.part('restore');
  assert.ok(await page.getByRole('button', { name: hand.w('visit-close') }).isDisabled());
  await page.screenshot({ path: join(shots, 'visit-restore.png'), fullPage: true });
  for (let n = 0; n < 30 && (await page.locator('main .tick input:not(:checked)').count()) > 0; n += 1) {
    await page.locator('main .tick input:not(:checked)').first().check();
    await v.rest();
  }
  await v.rest();
  // Sealed holes owe combustion again, which is said; what was touched is put back, so the visit may close.
  await page.getByText(/combustion has to be tested again/).waitFor();
  await page.getByRole('button', { name: hand.w('visit-close') }).click();
  await v.has('visit.toml', '[closed]');
  await v.rest();

  await housePart(t, hand, 'report');
  const frame = page.frameLocator('iframe');
  await frame.locator('h1').waitFor({ timeout: 90_000 });
  const owner = await frame.locator('body').innerText();
  assert.ok(owner.includes('The bedroom is stuffy in the morning'), owner.slice(0, 600));
  // What was read stands there too: 1735 cfm at some 50 Pa, the baseline taken off, in the volume of the answers.
  assert.match(owner, /\b9\.\d\s*1\/h/);
  // The full record shows the photo with its words, and the flow of the bath fan, the mean of what was typed.
  await page.getByRole('group', { name: hand.w('job-report-which'), exact: true }).getByRole('radio', { name: 'full record' }).check({ force: true });
  const inRecord = frame.getByRole('img', { name: 'cold corner' });
  await inRecord.waitFor({ timeout: 60_000 });
  assert.equal(await inRecord.evaluate((img) => img.decode().then(() => img.naturalWidth)), 1600);
  const record = await frame.locator('body').innerText();
  assert.match(record, /\b47\s*cfm/);
  const zip = await downloaded(page, () => page.getByRole('button', { name: hand.w('job-take') }).click());
  const files = unzipSync(new Uint8Array(zip.bytes));
  const photo = Object.keys(files).find((n) => n.endsWith(`attachments/${named}.jpg`));
  assert.ok(photo, Object.keys(files).join());
  const { createHash } = await import('node:crypto');
  assert.equal(createHash('sha256').update(files[photo]).digest('hex'), named, 'named by what it is');
  const visit = Object.keys(files).find((n) => n.endsWith('/visit.toml'));
  assert.ok(strFromU8(files[visit]).includes('kind = "sealing session"'));
  await page.context().setOffline(false);
}, {});

test('books are put into a job with one touch, and a visit of the invented house opens', async (t) => {
  const { page } = t;
  const hand = await open(t);
  await page.getByRole('link', { name: hand.w('bar-books') }).click();
  await page.getByRole('button', { name: `${hand.w('books-add')}: ${hand.w('books-prices')}` }).click();
  await page.getByRole('textbox', { name: hand.w('price-name'), exact: true }).fill('door sweep');
  await page.getByRole('textbox', { name: hand.w('price-each'), exact: true }).fill('40 to 70 USD');
  await page.getByRole('button', { name: hand.w('books-done') }).click();
  await page.getByRole('link', { name: hand.w('bar-tests') }).click();
  await demoHouse(t, hand);
  const v = new Visit(t, hand);
  await page.locator('nav').getByRole('link', { name: hand.w('job-bar-visit'), exact: true }).click();
  await page.locator('main button.line', { hasText: hand.w('visit-from-books') }).click();
  await v.rest();
  await page.getByRole('button', { name: 'door sweep' }).click();
  await v.has('job.toml', /\[price\.door_sweep\]\neach = "40 to 70 USD"/);
  await v.back();
  // A test that was typed as a document is typed on with the pad, or as a form.
  await page.locator('main button.line', { hasText: 'leakage of the whole house' }).first().click();
  await page.getByRole('heading', { level: 3, name: hand.w('visit-typed') }).waitFor({ timeout: 30_000 });
});

test('the pad types on in a table of other units, and what nobody touched stays as written', async (t) => {
  const { page } = t;
  await page.addInitScript(() => localStorage.setItem('airwright-system', 'SI'));
  const hand = await open(t);
  await demoHouse(t, hand);
  const v = new Visit(t, hand);
  await housePart(t, hand, 'visit');
  const written = await v.kept('visit.toml');
  assert.match(written, /columns = \["house Pa", "fan cfm"\]/);
  const rows = written.slice(written.indexOf('[test.envelope.stations]')).split('\n').filter((line) => /^ {2}\[-/.test(line));
  await page.locator('main button.line', { hasText: 'leakage of the whole house' }).first().click();
  await page.getByRole('link', { name: new RegExp(`^${hand.w('step-points')}`) }).first().click();
  const at = (entry) => page.locator(`input[data-entry="${entry}"]`);
  await page.locator('input[data-entry]').first().waitFor({ timeout: 30_000 });
  for (let n = 0; n < 40 && !(await at('stations.0.fan').isVisible()); n += 1) await hand.key('before');
  // What the document says in cfm is shown in m3/h, with digits that can be read.
  const cfm = Number(/,\s*([0-9.]+)\]/.exec(rows[0])[1]);
  const shown = await at('stations.0.fan').inputValue();
  assert.ok(shown.length <= 6 && Math.abs(Number(shown) / (cfm * 1.699011) - 1) < 1e-4, `${shown} is ${cfm} cfm`);
  await page.screenshot({ path: join(t.shots, 'pad-other-units.png') });
  await hand.key('next');
  await at('stations.1.fan').fill('3000');
  await page.waitForTimeout(900);
  await v.rest();
  const now = async () => {
    const text = await v.kept('visit.toml');
    return text.slice(text.indexOf('[test.envelope.stations]')).split('\n').filter((line) => /^ {2}\[-/.test(line));
  };
  await until(async () => Math.abs(Number(/,\s*([0-9.]+)\]/.exec((await now())[1])?.[1]) * 1.69901082 - 3000) < 1e-3, '3000 m3/h stands in cfm');
  const after = await now();
  const numbers = (line) => line.match(/-?[0-9.]+/g);
  assert.equal(after.length, rows.length);
  for (const [k, row] of rows.entries()) if (k !== 1) assert.deepEqual(numbers(after[k]), numbers(row), 'as written');
  assert.equal(numbers(after[1])[0], numbers(rows[1])[0], 'and its pressure');
  // It comes back as it was typed.
  await page.reload();
  await page.locator('input[data-entry]').first().waitFor({ timeout: 60_000 });
  for (let n = 0; n < 40 && !(await at('stations.1.fan').isVisible()); n += 1) await hand.key('before');
  await until(async () => (await at('stations.1.fan').inputValue()) === '3000', 'read back as typed');
});
