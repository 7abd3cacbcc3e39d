// Hands that type a test as a person would, through what stands on the page.
import { readFileSync } from 'node:fs';

/** The pages' words of a language, from the catalogue that the engine carries. */
export function catalogue(language) {
  const read = (file) => readFileSync(new URL(`../../report/locales/${language}/${file}.ftl`, import.meta.url), 'utf8');
  const text = ['phone-pages', 'app-pages', 'watch-page', 'desk', 'visit', 'plans-forms'].map(read).join('');
  const found = new Map();
  for (const [, key, value] of text.matchAll(/^phone-page-([a-z0-9-]+) = (.*)$/gm)) found.set(key, value);
  return found;
}

export class Hand {
  constructor(page, language = 'en') {
    this.page = page;
    this.words = catalogue(language);
  }

  w(key) {
    const text = this.words.get(key);
    if (text === undefined) throw new Error(`no word: ${key}`);
    return text;
  }

  async ready() {
    await this.page.locator('h1').first().waitFor();
    await this.page.locator('.bar, .strip').first().waitFor();
  }

  async fresh() {
    await this.page.getByRole('button', { name: this.w('tests-new'), exact: true }).click();
    await this.page.locator('.strip').waitFor();
    await this.page.locator('fieldset').first().waitFor();
  }

  async choose(legend, label) {
    const group = this.page.getByRole('group', { name: legend, exact: true });
    await group.getByRole('radio', { name: label }).check({ force: true });
  }

  async fill(label, value, within = this.page) {
    await within.getByLabel(label, { exact: false }).first().fill(value);
  }

  async kept() {
    await this.page.locator('[data-keeping="kept"]').first().waitFor();
  }

  async next() {
    await this.page.locator('.ways button.main').click();
  }

  async goStep(number) {
    await this.page.getByRole('button', { name: this.w('step-all') }).click();
    await this.page.locator('dialog[open] ol > li').nth(number - 1).locator('button').click();
    await this.page.waitForFunction((n) => location.hash.endsWith(`/${n}`), number);
  }

  key(name) {
    return this.page.locator(`[data-key="${name}"]`).click();
  }

  /** Types a number on the page's own pad. */
  async pad(text) {
    if (text.startsWith('-')) await this.key('sign');
    for (const c of text.replace('-', '')) await this.key(c);
  }

  active() {
    return this.page.evaluate(() => document.activeElement?.getAttribute('data-entry') ?? '');
  }

  async entry(id) {
    const one = this.page.locator(`[data-entry="${id}"]`);
    await one.waitFor();
    return one.inputValue();
  }

  answer() {
    return this.page.locator('[data-answer]').first();
  }

  /** The answer once it rests: behind the last digit one of the digits before it may still come. */
  async answerValue() {
    const now = async () => Number(await this.answer().getAttribute('data-answer'));
    let value = await now();
    for (let before = NaN; before !== value; value = await now()) {
      before = value;
      await this.page.waitForTimeout(250);
    }
    return value;
  }

  async profile(standard, { system = 'SI', direction = 'depressurise' } = {}) {
    await this.choose(this.w('profile-lead'), standard);
    await this.choose(this.w('profile-direction'), new RegExp(`^${this.w(direction)}`));
    await this.choose(this.w('profile-units'), this.w(system === 'SI' ? 'units-si' : 'units-ip'));
  }

  async place({ name, altitude, limit, source, confirmed, volume, floor, envelope, height }) {
    await this.fill(this.w('place-name'), name);
    await this.fill(this.w('place-altitude'), altitude);
    if (limit) {
      await this.fill(this.w('place-limit'), limit);
      await this.fill(this.w('place-limit-source'), source);
      if (confirmed) await this.page.getByRole('checkbox').check();
    }
    await this.fill(this.w('house-volume'), volume);
    if (floor) await this.fill(this.w('house-floor-area'), floor);
    if (envelope) await this.fill(this.w('house-envelope-area'), envelope);
    if (height) await this.fill(this.w('house-height'), height);
    await this.choose(this.w('house-basement'), this.w('basement-none'));
  }

  async instruments({ gauge, fan, tester, keep = false }) {
    const section = (title) => this.page.locator('section').filter({ has: this.page.getByRole('heading', { name: title, exact: true }) });
    const both = async (where, one) => {
      await this.fill(this.w('instrument-label'), one.label, where);
      await this.fill(this.w('instrument-accuracy'), one.accuracy, where);
      await this.fill(this.w('instrument-serial'), one.serial, where);
      await this.fill(this.w('instrument-calibrated'), one.calibrated, where);
    };
    const g = section(this.w('gauge'));
    await both(g, gauge);
    if (gauge.subtracts) await g.getByRole('radio', { name: this.w('gauge-subtracts') }).check({ force: true });
    if (keep) await g.getByRole('button', { name: this.w('keep-in-book') }).click();
    const f = section(this.w('fan'));
    await both(f, fan);
    await f.getByRole('radio', { name: this.w(`fan-${fan.shows}`) }).check({ force: true });
    if (keep) await f.getByRole('button', { name: this.w('keep-in-book') }).click();
    const t = section(this.w('tester'));
    await this.fill(this.w('tester-name'), tester.name, t);
    await this.fill(this.w('tester-credential'), tester.credential, t);
    if (keep) await t.getByRole('button', { name: this.w('keep-in-book') }).click();
    const l = section(this.w('firm'));
    await l.locator('summary').click();
    await this.fill(this.w('firm-name'), tester.firm, l);
    if (keep) await l.getByRole('button', { name: this.w('keep-in-book') }).click();
  }

  async readings(list) {
    for (const reading of list) {
      await this.pad(reading);
      await this.key('next');
    }
  }

  async points(rows) {
    for (const [house, flow] of rows) {
      await this.pad(String(house));
      await this.key('next');
      await this.pad(String(flow));
      await this.key('next');
    }
  }
}

/** The constructed record FT-2: 10 points, flow at reference conditions. */
export const FT2 = {
  dp: [10, 15, 20, 25, 30, 35, 40, 45, 50, 60],
  q: [361, 474, 567, 668, 744, 829, 897, 978, 1040, 1178],
  q50: 1044.33434803,
};

export const HOUSE = {
  name: 'Larch house',
  altitude: '0',
  limit: '3',
  source: 'Invented county code, 4.2',
  confirmed: true,
  volume: '400',
  floor: '160',
  envelope: '420',
  height: '5',
};

export const TOOLS = {
  gauge: { label: 'Gauge A', accuracy: '1 % or 0.25 Pa', serial: 'G-17', calibrated: '2026-03-02' },
  fan: { label: 'Fan B', accuracy: '4 %', serial: 'F-4', calibrated: '2026-03-02', shows: 'reference-conditions' },
  tester: { name: 'R. Example', credential: 'Invented no. 12', firm: 'Doorway Testing' },
};

/** Types everything up to the points. */
export async function upToPoints(hand, { standard = /ISO 9972/, house = HOUSE, tools = TOOLS } = {}) {
  await hand.fresh();
  await hand.profile(standard);
  await hand.next();
  await hand.place(house);
  await hand.next();
  await hand.instruments(tools);
  await hand.next();
  await hand.page.getByRole('button', { name: hand.w('preparation-usual') }).click();
  await hand.next();
  await hand.page.locator('[data-entry="baseline_before.0"]').waitFor();
  await hand.readings(['0', '0.1', '-0.1']);
  await hand.next();
  await hand.page.locator('[data-entry="stations.0.house"]').waitFor();
}
