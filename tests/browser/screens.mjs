// What a person does on the screens, said by role and accessible name. It knows no class, no id and no file of the pages.
import assert from 'node:assert/strict';
import { AxeBuilder } from '@axe-core/playwright';

/**
 * Waits until the page in sight is the one that was gone to. As long as something of it still waits for its answer, the page before, or a
 * part of it, stands there, and may hold the very words that are looked for next; the pages say so to whoever hears them.
 */
async function whole(page) {
  await page.locator('[aria-busy="true"]').waitFor({ state: 'detached' });
}

/** Does what leads to another page, and waits for that page. */
async function arrive(page, act) {
  // The address is another a moment before the pages hear of it: they are asked whether they did, as they are in the order of their asking.
  const turn = await page.evaluateHandle(() => ({ heard: new Promise((done) => addEventListener('hashchange', done, { once: true })) }));
  // The pages may have gone there by themselves meanwhile, and hear of it within their turn.
  if ((await act()) === 'there') await page.evaluate(() => new Promise((done) => setTimeout(done)));
  else await turn.evaluate(({ heard }) => Promise.race([heard, new Promise((_, fail) => setTimeout(() => fail(new Error('no other page was gone to')), 10_000))]));
  await whole(page);
}

/** Follows a link of the pages, and waits until what it leads to is what is in sight. */
export async function follow(link) {
  const page = link.page();
  const there = await link.evaluate((one) => one.href);
  if (there === page.url()) return link.click();
  await arrive(page, () => link.click());
}

/** Goes where an address leads, `#/bench/wear` as it stands in the address line. */
export async function turnTo(page, address) {
  const turn = (to) => {
    if (new URL(to, location.href).href === location.href) return 'there';
    location.hash = to;
    return 'turned';
  };
  await arrive(page, () => page.evaluate(turn, address));
}

/** Goes back as a browser does. */
export const goBack = (page) => arrive(page, () => page.goBack());

/** Goes to one of the five places. */
export const go = (page, place) => follow(page.getByRole('navigation', { name: 'Places' }).getByRole('link', { name: place, exact: true }));

/** The sheet that is open. */
export const sheet = (page, name) => page.getByRole('dialog', { name });

/** Presses what keeps a sheet, and waits until it is closed: what it shows stands in what it was opened from until then, beside what was kept. */
export async function keeps(one, act) {
  await one.getByRole('button', { name: act }).click();
  await one.waitFor({ state: 'detached' });
}

/** Opens what this device prefers: it stands at the top, or, where the top has no room for it, behind the car's name. */
export async function preferences(page) {
  const prefer = page.getByRole('button', { name: 'Light, gloves, units' });
  if (!(await prefer.isVisible())) await page.getByRole('button', { name: /^Cars: / }).click();
  await prefer.click();
  return sheet(page, 'On this device');
}

/** Picks one thing in a sheet's list by typing a few letters of it. */
export async function pick(sheet, label, letters, wanted) {
  const group = sheet.getByRole('group', { name: label });
  await group.waitFor();
  const narrow = group.getByRole('searchbox');
  if (!(await narrow.isVisible())) await group.getByRole('button').first().click();
  await narrow.fill(letters);
  await group.getByRole('button', { name: wanted }).first().click();
}

/** The rules of axe that look at colours. */
const OF_COLOURS = ['color-contrast', 'link-in-text-block'];

/**
 * axe finds nothing, in the light theme and in the dark one. It is run where the page is ("legacy mode"): the other way is for frames
 * from elsewhere, of which no page of ours has one; it opens a blank page for each look, takes twice as long and finds the same. Themes
 * differ in colours alone, so that in the dark what hangs on colours is looked at again, and nothing else.
 */
export async function clean(page, name) {
  for (const theme of ['light', 'dark']) {
    await page.emulateMedia({ colorScheme: theme });
    const axe = new AxeBuilder({ page }).setLegacyMode();
    const { violations } = await (theme === 'dark' ? axe.withRules(OF_COLOURS) : axe).analyze();
    const told = violations.map((one) => `${one.id}: ${one.help}\n  ${one.nodes.map((node) => node.html.slice(0, 200)).join('\n  ')}`);
    assert.deepEqual(told, [], `axe on ${name}, ${theme}`);
  }
  await page.emulateMedia({ colorScheme: 'light' });
}

/** Every button, link and field in sight is a target of at least `least` pixels one way and half of that the other. */
export async function targets(page, least) {
  const small = await page.evaluate((least) => {
    const out = [];
    for (const one of document.querySelectorAll('button, a.button, nav a, input, select, textarea, summary')) {
      const box = one.getBoundingClientRect();
      const hidden = box.width === 0 || !one.checkVisibility() || ['radio', 'checkbox'].includes(one.type);
      if (!hidden && box.height < least - 0.5) out.push(`${one.tagName} ${one.textContent?.trim().slice(0, 40)}: ${box.height}`);
    }
    return out;
  }, least);
  assert.deepEqual(small, [], `targets of at least ${least} px`);
}

/** How much of the height of a picture is in sight, scrolled to as far as it can be: what cuts it off takes from it. */
export async function inSight(picture) {
  await picture.scrollIntoViewIfNeeded();
  return picture.evaluate((one) => {
    let { top, bottom } = one.getBoundingClientRect();
    for (let around = one.parentElement; around; around = around.parentElement) {
      if (getComputedStyle(around).overflowY === 'visible') continue;
      const box = around.getBoundingClientRect();
      top = Math.max(top, box.top);
      bottom = Math.min(bottom, box.bottom);
    }
    return Math.max(0, Math.min(bottom, innerHeight) - Math.max(top, 0));
  });
}

/**
 * Nothing is wider than the screen. What scrolls up and down, or holds the page's heading, scrolls no other way: a browser says `auto` of
 * both ways where only one was asked for, so that what is too wide is not seen by its style.
 */
export async function fits(page, name) {
  const over = await page.evaluate(() => {
    const panes = [...document.querySelectorAll('main, main *, dialog[open] *')].filter((one) => {
      const scrolls = ['auto', 'scroll'].includes(getComputedStyle(one).overflowY);
      return scrolls && (one.scrollHeight > one.clientHeight + 1 || one.querySelector('h1') !== null);
    });
    const wide = [document.documentElement, ...panes].filter((one) => one.scrollWidth > one.clientWidth + 1);
    return wide.map((one) => `${one.tagName}.${one.className}: ${one.scrollWidth} > ${one.clientWidth}`);
  });
  assert.deepEqual(over, [], `${name} fits its screen`);
}

/**
 * Carries out for one device, or everything; the file's path. `how` says who can read it: `{ passphrase }`, `{ open: true }`,
 * or nothing for whatever is chosen already. `look` sees the open sheet.
 */
export async function carryOut(page, words, into, how = {}, look = async () => {}) {
  await go(page, 'Keepers');
  await page.getByRole('button', { name: words }).click();
  const form = sheet(page, /^Carry out/);
  await form.getByRole('status', { name: 'How large it would be' }).getByText(/^It would hold/).waitFor();
  if (how.open) await form.getByRole('radio', { name: 'whoever finds it' }).check();
  if (how.passphrase) {
    await form.getByRole('radio', { name: 'whoever knows a passphrase' }).check();
    await form.getByRole('textbox', { name: /^Passphrase/ }).fill(how.passphrase);
  }
  await look(form);
  await form.getByRole('button', { name: 'Write the file' }).click();
  const link = page.getByRole('link', { name: /^Take the file/ });
  const [download] = await Promise.all([page.waitForEvent('download'), link.click()]);
  await download.saveAs(into);
  return into;
}

/** Carries a file in, with its passphrase if it has one, and a newcomer with it if one is expected; what the page says it brought. */
export async function carryIn(page, file, { passphrase, newcomer } = {}) {
  await go(page, 'Keepers');
  await page.getByLabel('Carry in a file').setInputFiles(file);
  if (passphrase) {
    await page.getByRole('textbox', { name: 'Passphrase' }).fill(passphrase);
    await page.getByRole('button', { name: 'Open it and carry it in' }).click();
  }
  if (newcomer) {
    const asked = page.getByRole('group', { name: 'Who wrote this file?' });
    await asked.getByText(newcomer).first().waitFor();
    await asked.getByRole('button', { name: /^It is theirs/ }).click();
  }
  const said = page.getByRole('status').filter({ hasText: 'brought' });
  await said.waitFor();
  return said.innerText();
}

/** The mark that is equal on two devices that have the same. */
export async function mark(page) {
  await go(page, 'Keepers');
  // It is worked out beside the page: only one that is there can be held against another.
  const mark = page.getByRole('definition').filter({ hasText: /^[0-9a-f]{12}$/ }).first();
  await mark.waitFor();
  return mark.innerText();
}

/** The points to settle as they are listed. */
export async function points(page) {
  await go(page, 'Keepers');
  const section = page.getByRole('region', { name: /^Points to settle/ });
  await section.waitFor();
  return section.getByRole('link').allInnerTexts();
}

/** Holds sooner or later: a page shows what its next patch brings, not what a test has just done. */
export async function eventually(hold, within = 10_000) {
  const end = Date.now() + within;
  for (;;) {
    try {
      return await hold();
    } catch (not) {
      if (Date.now() > end) throw not;
      await new Promise((done) => setTimeout(done, 100));
    }
  }
}

/** Whether an element lies whole in the screen. */
export async function inView(one, name) {
  await eventually(async () => {
    const seen = await one.evaluate((it) => {
      const { top, bottom } = it.getBoundingClientRect();
      return { top, bottom, height: innerHeight };
    });
    assert.ok(seen.top >= 0 && seen.bottom <= seen.height + 1, `${name} is in sight: ${JSON.stringify(seen)}`);
  }, 3_000);
}
