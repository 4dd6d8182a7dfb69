// Opens a page of a served device in Debian's Chromium, at a phone's or a desk's size, and watches every request: none may leave
// loopback. Of the two that Debian has it takes the one without a head, which draws no windows of its own and burns a sixth less. It
// never downloads a browser.
import { existsSync } from 'node:fs';
import { mkdir, mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { dirname, join, resolve } from 'node:path';
import { fileURLToPath } from 'node:url';
import { chromium } from 'playwright-core';

/** The root of the house. */
export const HOUSE = resolve(dirname(fileURLToPath(import.meta.url)), '../..');
/** Where pictures of the screens are put. */
export const SHOTS = join(HOUSE, 'target/shots');

/** A small phone, a phone held in one hand, and a wide screen on the bench. */
export const SIZES = {
  narrow: { viewport: { width: 360, height: 740 }, isMobile: true, hasTouch: true, deviceScaleFactor: 2 },
  phone: { viewport: { width: 390, height: 844 }, isMobile: true, hasTouch: true, deviceScaleFactor: 2 },
  /** A phone that lies on its side. */
  side: { viewport: { width: 844, height: 390 }, isMobile: true, hasTouch: true, deviceScaleFactor: 2 },
  wide: { viewport: { width: 1280, height: 800 }, isMobile: false, hasTouch: true, deviceScaleFactor: 1 },
};

const FLAGS = [
  '--no-sandbox', '--disable-gpu', '--disable-quic', '--no-first-run', '--disable-background-networking',
  '--disable-component-update', '--disable-sync', '--disable-default-apps', '--no-default-browser-check',
  // No name resolves and no other host is reached: the machine is offline as far as the browser knows.
  '--host-resolver-rules=MAP * ~NOTFOUND, EXCLUDE 127.0.0.1',
];

const BROWSER = [process.env['WITNESSMARK_CHROMIUM'], '/usr/bin/chromium-headless-shell', '/usr/bin/chromium'].find(
  (file) => file && existsSync(file),
);

/** Opens a served device, with `flags` of a test's own; `page` is the page, `strayed` the requests that left loopback, `faults` what the console told. */
export async function open(device, size, { theme = 'light', flags = [] } = {}) {
  const profile = await mkdtemp(join(tmpdir(), 'witnessmark-profile-'));
  const context = await chromium.launchPersistentContext(profile, {
    executablePath: BROWSER,
    args: [...FLAGS, ...flags],
    headless: true,
    acceptDownloads: true,
    colorScheme: theme,
    locale: 'en-GB',
    ...SIZES[size],
  });
  context.setDefaultTimeout(30_000);
  const strayed = [];
  const faults = [];
  context.on('request', (request) => {
    const { hostname, protocol } = new URL(request.url());
    if (!['data:', 'blob:'].includes(protocol) && hostname !== '127.0.0.1') strayed.push(request.url());
  });
  const page = context.pages()[0] ?? (await context.newPage());
  page.on('pageerror', (error) => faults.push(String(error)));
  page.on('console', (message) => {
    if (message.type() === 'error') faults.push(message.text());
  });
  await page.goto(device.address);
  const close = async () => {
    await context.close();
    await rm(profile, { recursive: true, force: true });
  };
  return { page, context, strayed, faults, close };
}

/** Pictures are for whoever looks at them, and a sixteenth of a story's time: they are taken where they are asked for, and where a story failed. */
const LOOKED_AT = Boolean(process.env['WITNESSMARK_LOOK']);

/** A picture of the screen as it is. */
export async function shot(page, name) {
  if (!LOOKED_AT && !name.startsWith('failed-')) return;
  await mkdir(SHOTS, { recursive: true });
  await page.screenshot({ path: join(SHOTS, `${name}.png`) });
}
