// A whole test by a keyboard alone, and what a screen reader is told.
import assert from 'node:assert/strict';
import { everyPage, open, rows, settled, test } from './common.mjs';
import { FT2, HOUSE, TOOLS, upToPoints } from './hand.mjs';

/** Fingers on a keyboard: Tab until the focus is where it is wanted. Nothing is clicked, nothing is focused by a script. */
class Keys {
  constructor(page, hand) {
    this.page = page;
    this.hand = hand;
    this.presses = 0;
  }

  async press(key) {
    this.presses += 1;
    await this.page.keyboard.press(key);
  }

  /** Where the focus is: its role as the page marks it, its name, and whether the eye can see it. */
  here() {
    return this.page.evaluate(() => {
      const one = document.activeElement;
      if (!one || one === document.body) return { name: '', kind: 'body', seen: true, checked: false, value: '', group: '' };
      const label = one.labels?.[0];
      const name = one.getAttribute('aria-label') ?? label?.querySelector('.name')?.textContent ?? label?.textContent ?? one.textContent;
      const style = getComputedStyle(one);
      // Some fields show the focus on what surrounds them.
      const shows = [one, label, one.nextElementSibling, one.closest('label')].filter(Boolean).map((x) => getComputedStyle(x));
      const box = (label ?? one).getBoundingClientRect();
      return {
        name: (name ?? '').replace(/\s+/g, ' ').trim(),
        kind: one.type ?? one.tagName.toLowerCase(),
        seen:
          one.tagName === 'IFRAME' ||
          (box.bottom > 0 && box.top < innerHeight && shows.some((s) => (s.outlineStyle !== 'none' && parseFloat(s.outlineWidth) >= 2) || s.boxShadow !== 'none') && style.visibility === 'visible'),
        checked: one.checked === true,
        value: one.value ?? '',
        group: one.closest('fieldset')?.querySelector('legend')?.textContent.trim() ?? '',
        entry: one.dataset.entry ?? '',
        how: `${Math.round(box.top)}..${Math.round(box.bottom)} of ${innerHeight}, ${shows.map((s) => `${s.outlineStyle} ${s.outlineWidth}`).join(', ')}`,
      };
    });
  }

  /** Tabs to what is named; each place on the way must be visible. */
  async to(name, { kind, group, back = false } = {}) {
    const fits = (one) =>
      (name instanceof RegExp ? name.test(one.name) : one.name === name || one.name.startsWith(`${name} ·`)) &&
      (kind === undefined || one.kind === kind) &&
      (group === undefined || one.group === group);
    const way = [];
    for (let n = 0; n < 90; n += 1) {
      const one = await this.here();
      if (one.kind !== 'body' && one.kind !== 'h1') assert.ok(one.seen, `the focus is not to be seen on "${one.name}" (${one.kind}; ${one.how})`);
      if (fits(one)) return one;
      way.push(one.name || one.kind);
      await this.press(back ? 'Shift+Tab' : 'Tab');
    }
    throw new Error(`no way to ${name}: ${way.join(' | ')}`);
  }

  async enter(name, options) {
    await this.to(name, options);
    await this.press('Enter');
  }

  async fill(name, text, options) {
    await this.to(name, options);
    await this.page.keyboard.type(text);
  }

  /** A radio of a group: Tab to the group, arrows within it. */
  async choose(group, label) {
    let one = await this.to(/./, { kind: 'radio', group });
    for (let n = 0; n < 12; n += 1) {
      one = await this.here();
      if (label.test(one.name)) {
        if (!one.checked) await this.press('Space');
        return;
      }
      await this.press('ArrowDown');
    }
    throw new Error(`no ${label} in ${group}`);
  }

  async step(number) {
    await this.page.waitForFunction((n) => location.hash.endsWith(`/${n}`), number);
    await this.page.locator('main h1').waitFor();
  }
}

test('a whole test by the keyboard alone, from the list to the closed sheet', async (t) => {
  const { page } = t;
  // A mouse would leave a trace.
  await page.addInitScript(() => {
    window.touched = 0;
    for (const type of ['pointerdown', 'touchstart']) window.addEventListener(type, () => (window.touched += 1), true);
  });
  const hand = await open(t);
  const { w } = hand;
  const word = w.bind(hand);
  const keys = new Keys(page, hand);
  await keys.enter(word('tests-new'));
  await keys.step(1);
  await keys.choose(word('profile-lead'), /ISO 9972/);
  await keys.choose(word('profile-direction'), new RegExp(`^${word('depressurise')}`));
  await keys.choose(word('profile-units'), new RegExp(word('units-si').slice(0, 5)));
  await keys.enter(new RegExp(`^${word('step-next')}`));
  await keys.step(2);
  await keys.fill(word('place-name'), HOUSE.name);
  await keys.fill(word('place-altitude'), HOUSE.altitude);
  await keys.fill(word('place-limit'), HOUSE.limit);
  await keys.fill(word('place-limit-source'), HOUSE.source);
  await keys.to(new RegExp(`^${word('place-limit-confirmed')}`), { kind: 'checkbox' });
  await keys.press('Space');
  await keys.fill(word('house-volume'), HOUSE.volume);
  await keys.fill(word('house-floor-area'), HOUSE.floor);
  await keys.fill(word('house-envelope-area'), HOUSE.envelope);
  await keys.fill(word('house-height'), HOUSE.height);
  await keys.choose(word('house-basement'), new RegExp(word('basement-none')));
  await keys.enter(new RegExp(`^${word('step-next')}`));
  await keys.step(3);
  for (const one of [TOOLS.gauge, TOOLS.fan]) {
    await keys.fill(word('instrument-label'), one.label);
    await keys.fill(word('instrument-accuracy'), one.accuracy);
    await keys.fill(word('instrument-serial'), one.serial);
    // The browser's date field: month, day, year.
    const [year, month, day] = one.calibrated.split('-');
    await keys.fill(word('instrument-calibrated'), `${month}${day}${year}`);
    if (one === TOOLS.gauge) {
      await keys.choose(word('gauge-baseline'), new RegExp(word('gauge-shows-raw')));
      await keys.press('Tab');
    } else await keys.choose(word('fan-shows'), new RegExp(word('fan-reference-conditions')));
  }
  await keys.fill(word('tester-name'), TOOLS.tester.name);
  await keys.fill(word('tester-credential'), TOOLS.tester.credential);
  await keys.enter(word('firm-none'));
  await keys.fill(word('firm-name'), TOOLS.tester.firm);
  await keys.enter(new RegExp(`^${word('step-next')}`));
  await keys.step(4);
  await keys.enter(word('preparation-usual'));
  await keys.enter(new RegExp(`^${word('step-next')}`));
  await keys.step(5);
  const numbers = async (list) => {
    for (const text of list) {
      await page.keyboard.type(text);
      await keys.press('Enter');
    }
  };
  await page.waitForFunction(() => document.activeElement?.dataset.entry === 'baseline_before.0');
  await numbers(['0', '0.1', '-0.1']);
  // An empty reading ends the list, and the step with it.
  await keys.press('Enter');
  await keys.step(6);
  await page.waitForFunction(() => document.activeElement?.dataset.entry === 'stations.0.house');
  for (const [dp, q] of rows) await numbers([String(dp), String(q)]);
  await settled(page, rows.length);
  const value = await hand.answerValue();
  assert.ok(Math.abs(value / (FT2.q50 / Number(HOUSE.volume)) - 1) < 1e-8, `${value}`);
  await keys.enter(word('points-done'));
  await keys.step(7);
  await page.waitForFunction(() => document.activeElement?.dataset.entry === 'baseline_after.0');
  await numbers(['0.1', '0', '-0.1']);
  await keys.press('Enter');
  await numbers(['20', '12', '1.5']);
  // The dialog of all steps opens, closes by Escape, and gives the focus back.
  await keys.enter(word('step-all'), { back: true });
  await page.locator('dialog[open]').waitFor();
  await keys.press('Escape');
  await page.locator('dialog[open]').waitFor({ state: 'detached' });
  assert.equal((await keys.here()).name, word('step-all'));
  await keys.press('Enter');
  await keys.enter(new RegExp(`^8 ?${word('step-restore')}`));
  await keys.step(8);
  await page.getByRole('checkbox').first().waitFor();
  const ticks = await page.getByRole('checkbox').count();
  for (let n = 0; n < ticks; n += 1) {
    await keys.press('Tab');
    await keys.to(/./, { kind: 'checkbox' });
    await keys.press('Space');
  }
  await page.getByText(word('restore-complete')).waitFor();
  await keys.enter(new RegExp(`^${word('step-next')}`));
  await keys.step(9);
  await page.frameLocator('iframe').locator('body').waitFor();
  await keys.enter(word('sheet-close'));
  await page.getByText(word('sheet-closed')).waitFor();
  const text = await page.frameLocator('iframe').locator('body').innerText();
  for (const part of [HOUSE.name, 'R. Example', 'G-17', 'F-4', 'ISO 9972']) assert.ok(text.includes(part), part);
  assert.equal(await page.evaluate(() => window.touched), 0);
  console.log(`      ${keys.presses} keys beside the text`);
});

const NAMED = new Set(['button', 'link', 'textbox', 'radio', 'checkbox', 'combobox', 'spinbutton', 'switch', 'searchbox', 'Date', 'image', 'img', 'table', 'dialog', 'navigation', 'Iframe', 'radiogroup']);

/** The tree that the browser gives to a screen reader: role, name and description of every node. */
async function heard(page, session) {
  const { nodes } = await session.send('Accessibility.getFullAXTree');
  return nodes
    .filter((node) => !node.ignored)
    .map((node) => ({
      role: node.role?.value ?? '',
      name: (node.name?.value ?? '').trim(),
      states: Object.fromEntries((node.properties ?? []).map((p) => [p.name, p.value.value])),
    }));
}

test('a screen reader hears a name for everything that can be used', async (t) => {
  const { page } = t;
  const session = await page.context().newCDPSession(page);
  await session.send('Accessibility.enable');
  const found = [];
  const roles = new Set();
  await everyPage(t, async (place) => {
    const nodes = await heard(page, session);
    for (const { role, name } of nodes) {
      roles.add(role);
      if (NAMED.has(role) && name === '') found.push(`${place}: a ${role} without a name`);
      if (/phone-page-/.test(name)) found.push(`${place}: ${name}`);
    }
    const main = nodes.filter(({ role }) => role === 'main');
    const heads = nodes.filter(({ role, states }) => role === 'heading' && states.level === 1);
    // A dialog hides the rest.
    if (main.length !== 1 && place !== 'steps') found.push(`${place}: ${main.length} main parts`);
    if (heads.length !== 1 && place !== 'steps') found.push(`${place}: ${heads.length} headings of the page`);
    // What is named alike is told apart by what surrounds it: here, by the group or section it is in.
    const fields = await page.evaluate(() =>
      [...document.querySelectorAll('input:not([type=radio], [type=file]), textarea, select')]
        .filter((one) => one.checkVisibility() && !one.closest('dialog:not([open])'))
        .map((one) => {
          const around = one.closest('section, fieldset');
          const title = around?.getAttribute('aria-label') ?? around?.querySelector('h2, legend')?.textContent ?? '';
          return `${title.trim()} / ${one.labels?.[0]?.textContent.trim() ?? ''}`;
        }),
    );
    if (new Set(fields).size !== fields.length) found.push(`${place}: fields that sound alike: ${fields.join(', ')}`);
  });
  assert.deepEqual([...new Set(found)], []);
  for (const role of ['button', 'textbox', 'radio', 'checkbox', 'link', 'heading', 'navigation', 'alert', 'status']) assert.ok(roles.has(role), `${role} was met`);
});

test('a screen reader hears the answer once digits rest, and a doubt at once', async (t) => {
  const { page } = t;
  const hand = await open(t);
  await upToPoints(hand);
  await page.evaluate(() => {
    window.said = [];
    const region = document.querySelector('[data-spoken]');
    new MutationObserver(() => window.said.push(region.textContent)).observe(region, { childList: true, characterData: true, subtree: true });
  });
  const session = await page.context().newCDPSession(page);
  await session.send('Accessibility.enable');
  await hand.points(rows.slice(0, 3));
  await settled(page, 3);
  await hand.points(rows.slice(3, 5));
  await settled(page, 5);
  const [name, text] = [await page.locator('.answer .name').innerText(), await hand.answer().innerText()];
  await page.waitForFunction((value) => window.said.at(-1)?.includes(value), text.trim());
  await page.waitForTimeout(1300);
  const said = await page.evaluate(() => window.said);
  // Far fewer sentences than the eleven digits and more that were typed, and the last one says it all.
  assert.ok(said.length <= 4, said.join('\n'));
  const last = said.at(-1).replace(/\s/g, ' ');
  for (const part of [name.split(',')[0], text.trim(), '95 %', hand.w('pass')]) assert.ok(last.includes(part), `"${last}" says ${part}`);
  const nodes = await heard(page, session);
  const region = nodes.filter(({ role, states }) => role === 'status' && states.live === 'polite' && states.atomic);
  assert.ok(region.length >= 1, 'the answer is a polite live region');
  // A doubt interrupts.
  await hand.points([['30', '7440']]);
  await page.locator('.doubt').waitFor();
  const after = await heard(page, session);
  assert.ok(after.some(({ role, states }) => role === 'alert' && states.live === 'assertive'));
  // The entry that is filled has the focus, a name, and its value.
  const focused = after.find(({ role, states }) => role === 'textbox' && states.focused);
  assert.equal(focused?.name.startsWith(hand.w('points-house')), true, focused?.name);
});
