// A whole house in the pages: drawn from answers, looked at, changed and taken back, planned, reported.
import assert from 'node:assert/strict';
import { join } from 'node:path';
import { strFromU8, unzipSync } from 'fflate';
import { demoHouse, downloaded, housePart, newest, open, stored, test, until } from './common.mjs';

const figure = (page) => page.locator('.fragment svg:visible').first();

test('a house is drawn from a few answers, a number of it is changed and taken back', async (t) => {
  const { page } = t;
  const hand = await open(t);
  await page.getByRole('button', { name: hand.w('houses-new') }).click();
  await page.getByRole('textbox', { name: hand.w('begin-name') }).fill('Fenton "Row"');
  await page.getByRole('radio', { name: hand.w('begin-foundation-crawl') }).check();
  await page.getByRole('radio', { name: hand.w('begin-ducts-below') }).check();
  await page.getByRole('checkbox', { name: hand.w('begin-burns-water-heater') }).check();
  await page.getByRole('button', { name: hand.w('begin-make') }).click();
  await figure(page).waitFor({ timeout: 30_000 });
  await page.getByText(hand.w('job-not-read')).waitFor();
  const drawing = await figure(page).innerHTML();
  assert.ok(drawing.includes('data-zone="crawl"') && drawing.includes('data-passage'), 'zones and passages can be touched');
  // A switch moves the air.
  await page.getByRole('button', { name: /range hood/i }).click();
  await until(async () => (await figure(page).innerHTML()) !== drawing, 'the hood moves the air');
  // A touch on the drawing opens what is there.
  await figure(page).locator('[data-zone="crawl"]').click({ position: { x: 6, y: 6 }, force: true });
  const sheet = page.locator('dialog[open]');
  await sheet.waitFor();
  const volume = sheet.getByRole('textbox', { name: 'Volume' });
  const before = await volume.inputValue();
  await volume.fill('not a volume');
  await sheet.getByRole('button', { name: hand.w('job-keep') }).click();
  // What does not fit is kept as written and said with its line, as in the files.
  await page.getByText(hand.w('job-errors')).waitFor();
  await page.getByRole('link', { name: /house\.toml/ }).first().click();
  await page.locator('textarea').waitFor();
  assert.ok((await page.locator('textarea').inputValue()).includes('not a volume'));
  await page.getByRole('button', { name: hand.w('job-undo') }).click();
  await until(async () => (await page.locator('textarea').inputValue()).includes(before), 'undone');
  // The page is closed in the middle: all is there again, and so is the way back and forth.
  await page.reload();
  await page.locator('textarea').waitFor();
  assert.ok((await page.locator('textarea').inputValue()).includes(before));
  await page.getByRole('button', { name: hand.w('job-redo') }).click();
  await until(async () => (await page.locator('textarea').inputValue()).includes('not a volume'), 'done again');
});

test('the invented house on a phone: known, plans lived, report taken along', async (t) => {
  const { page } = t;
  const hand = await open(t);
  await demoHouse(t, hand);
  await housePart(t, hand, 'known');
  const questions = () => page.locator('select option').evaluateAll((all) => all.map((o) => o.value));
  assert.ok((await questions()).includes('complaint 2'), `${await questions()}`);
  // What a fragment says stands in its shadow.
  const said = async () => (await page.locator('section:has(#part-next) p').allInnerTexts()).join(' ');
  const first = await said();
  await page.locator('select').selectOption('total');
  await until(async () => (await said()) !== first, 'another question, another answer');
  await housePart(t, hand, 'plans');
  const began = performance.now();
  await page.getByRole('button', { name: hand.w('job-plans-run') }).click();
  await page.locator('progress').waitFor();
  await page.getByRole('button', { name: hand.w('job-stop') }).click();
  await page.getByRole('button', { name: hand.w('job-plans-run') }).click();
  await page.locator('#part-plans').waitFor({ timeout: 240_000 });
  // They stay, and the next reading can be asked for their sake.
  await page.waitForFunction(() => !document.querySelector('progress'), undefined, { timeout: 60_000 });
  await page.waitForTimeout(500);
  assert.equal(await page.locator('#part-plans').count(), 1, 'plans once lived stay on the page');
  await housePart(t, hand, 'known');
  assert.ok((await questions()).includes('plans'));
  await page.locator('select').selectOption('plans');
  await page.waitForFunction(() => !document.querySelector('[aria-busy=true]'), undefined, { timeout: 60_000 });
  // Either a reading tells the plans apart, or one is the best whatever is read.
  const both = async () => (await page.locator('main').innerText()).replace(/\s+/g, ' ');
  await until(async () => /best in every draw/.test(await both()) || (await said()).length > 20, 'an answer for the plans');
  console.log(`      plans lived after ${((performance.now() - began) / 1000).toFixed(0)} s`);
  await housePart(t, hand, 'report');
  const frame = page.frameLocator('iframe');
  await frame.locator('h1').waitFor({ timeout: 60_000 });
  assert.ok((await frame.locator('body').innerText()).includes('Quarry Lane'));
  const zip = await downloaded(page, () => page.getByRole('button', { name: hand.w('job-take') }).click());
  const files = unzipSync(new Uint8Array(zip.bytes));
  const house = Object.keys(files).find((n) => n.endsWith('/house.toml'));
  assert.ok(house && strFromU8(files[house]).includes('[zone.bedroom]'), Object.keys(files).join());
});

test('a plan is built from parts, by touch and by number, and its mistakes stand beside it', async (t) => {
  const { page } = t;
  const hand = await open(t);
  await demoHouse(t, hand);
  await housePart(t, hand, 'plans');
  await page.getByRole('button', { name: hand.w('plans-build') }).click();
  const plans = page.locator('section.list').filter({ has: page.getByRole('heading', { name: 'Plans', exact: true }) }).first();
  await plans.waitFor();
  await plans.locator(':scope > .new input').fill('Quiet bath');
  await plans.getByRole('button', { name: hand.w('plans-add-plan') }).click();
  const card = plans.getByRole('group', { name: /quiet bath/i });
  await card.waitFor();
  // Twice in a row: the second waits for nothing but the first.
  await card.getByRole('button', { name: /: Changes$/ }).click();
  const change = card.getByRole('group', { name: /Changes: / });
  await change.waitFor();
  await change.getByRole('combobox', { name: /What is done/ }).selectOption('exhaust fan');
  await change.getByRole('button', { name: 'north bedroom', exact: true }).click();
  const flow = change.getByRole('textbox', { name: /^Flow/ });
  await flow.fill('80');
  await flow.blur();
  const text = async () => {
    await page.getByRole('button', { name: hand.w('plans-build') }).waitFor();
    return newest(page, 'plans.toml');
  };
  await until(async () => /\[plan\.quiet_bath\][\s\S]*do = "exhaust fan"[\s\S]*from = "bedroom"[\s\S]*flow = "80 cfm"/.test(await text()), 'what was touched is written');
  assert.ok((await text()).includes('# Named sets of changes.'), 'comments stay');
  // Nonsense stays as typed, with what is wrong beside it.
  await flow.fill('99999');
  await flow.blur();
  await change.locator('.note').first().waitFor();
  await page.getByRole('button', { name: hand.w('job-undo') }).click();
  await until(async () => (await flow.inputValue()) === '80', 'undone');
});

test('a practice house is read, diagnosed and revealed; a job leaves in other forms', async (t) => {
  const { page } = t;
  const hand = await open(t);
  await page.getByRole('button', { name: hand.w('houses-practice') }).click();
  const practice = page.locator('section.card').filter({ has: page.getByRole('heading', { name: hand.w('practice-title') }) });
  await practice.waitFor({ timeout: 60_000 });
  const told = practice.locator('pre');
  const take = practice.getByRole('button', { name: hand.w('practice-take') });
  // The first thing that is offered is the air that one breathes; its minutes are told before.
  await practice.getByText(`${hand.w('practice-costs')} 2 ${hand.w('practice-minutes')}`).waitFor({ timeout: 60_000 });
  await take.click();
  await told.waitFor({ timeout: 60_000 });
  const first = await told.innerText();
  assert.match(first, /ppm|min/);
  // A pressure is picked, not written.
  const chosen = practice.getByRole('radio', { name: hand.w('practice-kind-pressure') });
  await chosen.check({ force: true });
  const cost = practice.locator('.take b');
  await until(async () => Number((await cost.innerText()).split(/\s/)[0]) > 2, 'a pressure costs its minutes');
  await page.screenshot({ path: join(t.shots, 'practice.png'), fullPage: true });
  await take.click();
  await until(async () => /Pa/.test(await told.innerText()), 'the reading is shown', 60_000);
  await practice.locator('summary').last().click();
  // The scope is built as a plan is; the document says what was touched.
  const add = practice.getByRole('button', { name: hand.w('practice-scope-add') });
  await add.click();
  const change = practice.getByRole('group', { name: /Changes: / });
  await change.getByRole('combobox', { name: /What is done/ }).selectOption('seal ducts');
  await practice.getByRole('textbox', { name: hand.w('practice-why') }).fill('the room goes up with its door shut');
  await practice.getByRole('button', { name: hand.w('practice-hand-in') }).click();
  const diagnosis = () => newest(page, 'diagnosis.toml');
  await until(async () => /why = "the room goes up[^]*\[\[change\]\][^]*do = "seal ducts"/.test(await diagnosis()), 'the scope is written');
  const reveal = practice.getByRole('button', { name: hand.w('practice-reveal') });
  assert.ok(await reveal.isDisabled(), 'the truth is not shown by one touch');
  await practice.getByRole('checkbox').check();
  await reveal.click();
  await until(async () => (await told.innerText()) !== first && (await told.innerText()).length > 200, 'the truth', 120_000);
  await housePart(t, hand, 'report');
  await page.locator('summary').filter({ hasText: hand.w('export-title') }).click();
  const csv = await downloaded(page, () => page.getByRole('button', { name: hand.w('export-readings-csv') }).click());
  assert.match(new TextDecoder().decode(csv.bytes).split('\n')[0], /,unit/);
  const xml = await downloaded(page, () => page.getByRole('button', { name: hand.w('export-hpxml') }).click());
  assert.ok(new TextDecoder().decode(xml.bytes).includes('<HPXML'));
});

test('without a network a house opens, is changed and shown', async (t) => {
  const { page } = t;
  const context = page.context();
  const hand = await open(t);
  await demoHouse(t, hand);
  await until(() => page.evaluate(() => navigator.serviceWorker?.controller != null), 'the pages are kept');
  await context.setOffline(true);
  await page.reload();
  await figure(page).waitFor({ timeout: 60_000 });
  await housePart(t, hand, 'known');
  await context.setOffline(false);
});

test('two taps make one house; a cut zip, and an answer that no house has, are said in words of the page', async (t) => {
  const { page, url } = t;
  await page.addInitScript(() => localStorage.setItem('airwright-language', 'es'));
  const hand = await open(t, 'es');
  await page.locator('input[type=file][accept*=".toml"]').first().setInputFiles({ name: 'cut.zip', mimeType: 'application/zip', buffer: Buffer.from('PK\u0003\u0004 cut') });
  await page.getByText(hand.w('zip-broken')).waitFor();
  await page.getByRole('button', { name: hand.w('houses-new') }).click();
  const make = page.getByRole('button', { name: hand.w('begin-make') });
  assert.ok(await make.isDisabled());
  await page.getByText(hand.w('begin-wants-name')).waitFor();
  await page.getByRole('textbox', { name: hand.w('begin-name') }).fill('Fenton Row');
  const area = page.getByRole('textbox', { name: new RegExp(`^${hand.w('begin-area')}`) });
  await area.fill('3');
  await make.click();
  await page.getByText(`${hand.w('begin-area')}: ${hand.w('begin-not-read')}`).waitFor();
  assert.equal((await stored(page, 'documents')).length, 0, 'no house was made of it');
  await area.fill('120');
  await make.dblclick();
  await page.locator('.fragment svg:visible').first().waitFor({ timeout: 60_000 });
  await page.waitForTimeout(500);
  const jobs = new Set((await stored(page, 'documents')).map((d) => d.job));
  assert.equal(jobs.size, 1, 'one house');
  // A test that was removed is not waited for.
  await page.goto(new URL(`#/job/${[...jobs][0]}/visit`, url).href);
  await page.getByRole('button', { name: hand.w('visit-begin') }).last().click();
  await page.locator('button[data-begin="envelope"]').click();
  await page.getByRole('button', { name: hand.w('visit-remove-test') }).click();
  await page.locator('button[data-begin="envelope"]').waitFor();
  await page.goBack();
  await page.getByText(hand.w('visit-test-gone')).waitFor();
});
