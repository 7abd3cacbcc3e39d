// Without a network, two versions one after the other, and what an install asks for.
import assert from 'node:assert/strict';
import { readFileSync, readdirSync } from 'node:fs';
import { open, rows, settled, test, until } from './common.mjs';
import { Hand, upToPoints } from './hand.mjs';

const dist = new URL('../dist/', import.meta.url);
const inDist = (name) => readFileSync(new URL(name, dist));

const inCharge = (page) => page.evaluate(() => navigator.serviceWorker.ready.then(() => undefined));

/** A newer build: each hashed file under another name, the old names gone. `lost` is a name that is not there. */
function newer(mark = 'new', lost = '') {
  const renamed = (text) => text.replace(/(assets\/|\/)?([\w]+)-[\w-]{8}\.(js|css|wasm)/g, `$1$2-${mark.padEnd(8, '0')}.$3`);
  const files = new Map();
  for (const file of readdirSync(new URL('assets/', dist))) {
    const name = `assets/${file}`;
    const other = renamed(name);
    const body = file.endsWith('.wasm') ? inDist(name) : renamed(String(inDist(name)));
    files.set(name, null);
    if (file.startsWith(lost) && lost) files.set(other, null);
    else files.set(other, { kind: name, body });
  }
  files.set('index.html', { kind: 'index.html', body: renamed(String(inDist('index.html'))).replace('<html', `<html data-build="${mark}"`) });
  const worker = renamed(String(inDist('sw.js'))).replace(/airwright-[0-9a-f]{16}/, `airwright-${mark.padEnd(16, '0')}`);
  files.set('sw.js', { kind: 'sw.js', body: worker });
  return files;
}

async function worksAlone({ browser, page, server, url }) {
  const hand = await open({ page, url });
  await inCharge(page);
  await server.stop();
  await page.reload();
  await hand.ready();
  await upToPoints(hand);
  await hand.points(rows.slice(0, 4));
  await settled(page, 4);
  const other = await browser.newPage();
  await other.goto(url);
  await new Hand(other).ready();
  await other.close();
  await server.again();
}

test('works without a network from the second load', worksAlone);
test('works without a network below a path of a web server', worksAlone, { folder: true });

test('headers and policy of the program and of a folder are one', async ({ server }) => {
  const answer = await fetch(server.url);
  const header = answer.headers.get('content-security-policy');
  const [, meta] = /Content-Security-Policy"\s+content="([^"]+)"/.exec(await answer.text());
  // Who may frame a page cannot be said within it.
  assert.equal(`${meta}; frame-ancestors 'self'`, header);
  assert.equal(answer.headers.get('x-content-type-options'), 'nosniff');
  assert.equal(answer.headers.get('cache-control'), 'no-cache');
  assert.ok(!/unsafe-eval'/.test(header.replace("'wasm-unsafe-eval'", '')) && !/script-src[^;]*unsafe-inline/.test(header));
});

test('a new version waits until it is taken, in every tab', async (t) => {
  const { browser, page, server, url } = t;
  const hand = await open(t);
  await inCharge(page);
  await upToPoints(hand);
  await hand.pad('60');
  await hand.kept();
  server.publish(newer());
  await page.reload();
  const offered = page.getByText(hand.w('new-version'), { exact: true });
  await offered.waitFor();
  assert.equal(await page.locator('html[data-build]').count(), 0, 'the old one still answers');
  // Later, and later again: the old one stays whole, though the server has none of its files any more.
  await page.getByRole('button', { name: hand.w('new-version-later') }).click();
  await offered.waitFor({ state: 'detached' });
  await page.reload();
  await offered.waitFor();
  assert.equal(await page.locator('html[data-build]').count(), 0);
  await page.getByRole('button', { name: hand.w('new-version-later') }).click();
  await hand.points([['', 1178], [50, 1040], [40, 897]]);
  await settled(page, 3);
  const other = await browser.newPage();
  await other.goto(`${url}#/device`);
  const there = new Hand(other);
  await there.ready();
  assert.equal(await other.locator('html[data-build]').count(), 0, 'a second tab is of the same build');
  await other.locator('main').getByRole('button', { name: hand.w('new-version-take') }).last().click();
  await other.locator('html[data-build=new]').waitFor({ state: 'attached' });
  await page.locator('html[data-build=new]').waitFor({ state: 'attached' });
  await settled(page, 3);
  assert.equal(await hand.entry('stations.3.house'), '', 'the same place as before');
  assert.equal(await hand.active(), 'stations.3.house');
  const caches = await page.evaluate(() => window.caches.keys());
  assert.deepEqual(caches, ['airwright-new0000000000000'], 'one build is kept');
  await server.stop();
  await page.reload();
  await settled(page, 3);
  await server.again();
}, { folder: true });

test('a new version that does not come whole changes nothing', async (t) => {
  const { page, server } = t;
  const hand = await open(t);
  await inCharge(page);
  server.publish(newer('torn', 'airwright_bg'));
  await page.getByRole('link', { name: hand.w('bar-device') }).click();
  await page.getByRole('button', { name: hand.w('version-look') }).click();
  await until(() => server.asked.some((path) => path.includes('airwright_bg-torn')), 'the newer build is asked for');
  await until(() => page.evaluate(async () => !(await navigator.serviceWorker.getRegistration()).installing));
  assert.equal((await page.evaluate(() => window.caches.keys())).length, 1, 'half a build is not kept');
  await page.reload();
  await hand.ready();
  assert.equal(await page.locator('html[data-build]').count(), 0);
  assert.equal(await page.getByText(hand.w('new-version'), { exact: true }).count(), 0);
  await server.stop();
  await page.reload();
  await hand.ready();
  await server.again();
  t.troubles.length = 0;
}, { folder: true });

test('a new version is looked for when told to', async (t) => {
  const { page, server } = t;
  const hand = await open(t);
  await inCharge(page);
  await page.getByRole('link', { name: hand.w('bar-device') }).click();
  const look = page.getByRole('button', { name: hand.w('version-look') });
  await look.click();
  await page.getByText(hand.w('version-newest')).waitFor();
  await server.stop();
  await look.click();
  await page.getByText(hand.w('version-failed')).waitFor();
  await server.again();
  server.publish(newer());
  await look.click();
  await page.getByRole('button', { name: hand.w('new-version-take') }).last().waitFor();
  assert.equal(await page.locator('html[data-build]').count(), 0);
  t.troubles.length = 0;
}, { folder: true });

/** Width and height of a PNG picture, from its first chunk. */
const sizeOf = (png) => `${png.readUInt32BE(16)}x${png.readUInt32BE(20)}`;

test('the browser finds everything it needs to install the page', async (t) => {
  const { page, url } = t;
  const hand = await open(t);
  await inCharge(page);
  const session = await page.context().newCDPSession(page);
  const { errors, data } = await session.send('Page.getAppManifest');
  assert.deepEqual(errors, []);
  const manifest = JSON.parse(data);
  assert.equal(new URL(manifest.start_url, url).href, url);
  assert.equal(new URL(manifest.scope, url).href, url);
  assert.equal(manifest.display, 'standalone');
  for (const icon of manifest.icons) {
    const answer = await fetch(new URL(icon.src, url));
    assert.equal(answer.headers.get('content-type'), icon.type, icon.src);
    if (icon.type === 'image/png') assert.equal(sizeOf(Buffer.from(await answer.arrayBuffer())), icon.sizes);
  }
  for (const size of ['192x192', '512x512']) assert.ok(manifest.icons.some((icon) => icon.sizes === size));
  const { installabilityErrors } = await session.send('Page.getInstallabilityErrors');
  assert.deepEqual(installabilityErrors, []);
  // The page offers it where the browser does.
  await page.getByRole('link', { name: hand.w('bar-device') }).click();
  const button = page.getByRole('button', { name: hand.w('install') });
  const offer = () =>
    page.evaluate(() => {
      const event = new Event('beforeinstallprompt', { cancelable: true });
      event.prompt = async () => (window.prompted = true);
      window.dispatchEvent(event);
      return event.defaultPrevented;
    });
  if ((await button.count()) === 0) assert.ok(await offer());
  else await offer();
  await button.click();
  assert.ok(await page.evaluate(() => window.prompted));
  await button.waitFor({ state: 'detached' });
});
