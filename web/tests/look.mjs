// Photographs of every place: `node web/tests/look.mjs [single|house|kinds] [words of a place's name]`, into
// web/tests/shots/look. AIRWRIGHT_LOOK chooses: widths and themes, as `390:light,1280:dark`, and a language behind a `@`.
import { mkdirSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { chromium } from 'playwright-core';
import { serve } from './serve.mjs';
import { everyKind, everyOtherPlace, everySinglePlace } from './tour.mjs';

const [walk = 'house', wanted = ''] = process.argv.slice(2);
const [looks, language = 'en'] = (process.env.AIRWRIGHT_LOOK ?? '390:light,1280:dark').split('@');
const shots = fileURLToPath(new URL('./shots/look/', import.meta.url));
mkdirSync(shots, { recursive: true });
const TALLEST = 3600;

const server = await serve();
const profile = mkdtempSync(join(tmpdir(), 'airwright-look-'));
const browser = await chromium.launchPersistentContext(profile, {
  executablePath: '/usr/bin/chromium',
  args: ['--headless', '--no-sandbox', '--disable-gpu', '--disable-quic', '--no-first-run', '--disable-background-networking', '--disable-component-update', '--disable-sync'],
  headless: true,
  viewport: { width: 390, height: 844 },
  locale: language === 'es' ? 'es-US' : 'en-US',
  reducedMotion: 'reduce',
});
const page = browser.pages()[0] ?? (await browser.newPage());
page.setDefaultTimeout(30_000);
browser.on('weberror', (error) => console.log('page error', error.error().message));
let status = 0;
try {
  await { single: everySinglePlace, house: everyOtherPlace, kinds: everyKind }[walk]({ page, url: server.url }, async (name) => {
    if (!name.includes(wanted)) return;
    for (const look of looks.split(',')) {
      const [width, theme] = look.split(':');
      await page.evaluate((x) => (document.documentElement.dataset.theme = x), theme);
      await page.setViewportSize({ width: Number(width), height: Number(width) < 600 ? 844 : 800 });
      await page.waitForTimeout(120);
      // A page scrolls within its frame: the whole of it needs a taller window.
      const tall = await page.evaluate(() => {
        const main = document.querySelector('main');
        return innerHeight + (main ? main.scrollHeight - main.clientHeight : 0);
      });
      await page.setViewportSize({ width: Number(width), height: Math.min(tall, TALLEST) });
      await page.waitForTimeout(200);
      await page.screenshot({ path: join(shots, `${name}-${width}-${theme}${language === 'en' ? '' : `-${language}`}.png`) });
      if (tall > TALLEST) console.log(`${name} ${look}: ${tall} px tall`);
    }
    await page.evaluate(() => (document.documentElement.dataset.theme = 'auto'));
    await page.setViewportSize({ width: 390, height: 844 });
  }, language);
} catch (error) {
  status = 1;
  console.log(error.stack ?? error);
  await page.screenshot({ path: join(shots, 'failed.png') });
}
await browser.close();
await server.stop();
rmSync(profile, { recursive: true, force: true, maxRetries: 5 });
process.exit(status);
