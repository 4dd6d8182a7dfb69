// What came in while a keeper was away: by a carry file and live, at a phone's size and a wide one. A quiet line on Day leads to it; it
// tells by assembly who did what, points first, with the photos in their places; it was read when it was open and can be read again.
// What was agreed of it can be reopened.
import assert from 'node:assert/strict';
import { mkdir } from 'node:fs/promises';
import { join } from 'node:path';
import { after, before, describe, test } from 'node:test';
import { garage, served, wholeOf, witnessmark } from './garage.mjs';
import { digits, joinBy, note, see, ticketOf } from './keepers.mjs';
import { carryIn, eventually, follow, go, goBack, sheet } from './screens.mjs';

/** As long as a meeting may take on a machine that is busy with other things. */
const MEETS = 60_000;

let demo;
before(async () => {
  demo = await garage();
});
after(() => demo?.close());

/** What no page says: a raw field name, an id, an ISO date. */
const RAW = /\b[a-z]+_[a-z]+\b|[0-9a-f]{8}-[0-9a-f]{4}|\b\d{4}-\d\d-\d\d\b/;

const call = (folder, name, args) => witnessmark('call', name, JSON.stringify(args), '--at', folder);

/** Day has asked all that it shows, and a while has gone since: nothing more comes in by itself. */
async function settled(page) {
  await page.getByRole('heading', { name: 'How it stands tonight' }).waitFor();
  await page.waitForTimeout(2_500);
}

const quiet = (page) => page.getByRole('link', { name: /^While you were away: / });

for (const size of ['phone', 'wide']) {
  describe(`at the size of a ${size}`, () => {
    test('what a file brought is told by assembly, marked on Day, and read when it was open', async () => {
      const nell = await demo.copy(`away-child-${size}`, 'child');
      const file = join(demo.folder, `away-${size}.carry`);
      await wholeOf(nell, file);
      const wilf = await demo.copy(`away-parent-${size}`, 'parent');
      // All that came before was read.
      const { comings } = await call(wilf, 'away', {});
      for (const { number } of comings) await call(wilf, 'read_coming', { coming: number });
      await served(wilf, `away-parent-${size}`, size, async (page) => {
        await go(page, 'Day');
        await carryIn(page, file, { newcomer: /of Nell Ashdown/ });
        const brought = page.getByRole('status').filter({ hasText: 'brought' });
        const told = await brought.getByRole('listitem').allInnerTexts();
        assert.ok(told.length > 3, `${told}`);
        for (const line of told) assert.doesNotMatch(line, RAW);
        assert.ok(told.some((line) => /^Nell Ashdown /.test(line)), `${told}`);
        await see(page, `${size}-away-carried`);

        // A quiet line on Day, one tap from it.
        await go(page, 'Day');
        await quiet(page).waitFor();
        const line = await quiet(page).innerText();
        const [, things, settle] = /(\d+) things, (\d+) to settle/.exec(line) ?? [];
        assert.ok(Number(things) > 5 && Number(settle) >= 5, line);
        await see(page, `${size}-away-day`);
        await follow(quiet(page));
        await page.getByRole('heading', { level: 1, name: 'While you were away' }).waitFor();
        const main = page.getByRole('main');
        await main.getByText(/^This (morning|afternoon|evening)|^Last night/).first().waitFor();
        const parts = main.getByRole('region').filter({ has: page.getByRole('heading', { level: 2 }) });
        await parts.first().waitFor();
        const headings = await main.getByRole('heading', { level: 2 }).allInnerTexts();
        const first = headings.findIndex((one) => one.startsWith('To settle'));
        assert.ok(first >= 0 && headings.slice(first + 1).length >= 2, `${headings}`);
        const text = await main.innerText();
        assert.doesNotMatch(text, RAW);
        assert.match(text, /Nell Ashdown (closed up|took|put|finished|found|decided|asked|wrote|tried|entered|met|ordered|labelled)/);
        const pictures = main.getByRole('img');
        for (const picture of await pictures.all()) assert.ok(((await picture.getAttribute('alt')) ?? '').trim(), 'each picture says what it shows');
        await see(page, `${size}-away`);
        // Each line leads to its thing, and back.
        const lead = main.getByRole('link', { name: /^Nell Ashdown / }).first();
        const words = (await lead.innerText()).split('\n')[0];
        await follow(lead);
        await eventually(async () => assert.doesNotMatch(page.url(), /came:/));
        await goBack(page);
        await main.getByText(words.slice(0, 30)).first().waitFor();

        // It was read; it stays to be read again.
        await go(page, 'Day');
        await page.getByRole('heading', { name: 'How it stands tonight' }).waitFor();
        await settled(page);
        assert.equal(await quiet(page).count(), 0);
        await go(page, 'Keepers');
        await follow(page.getByRole('link', { name: 'While you were away', exact: true }));
        const last = page.getByRole('listitem').getByRole('link', { name: /by a carry file/ }).first();
        assert.doesNotMatch(await last.innerText(), /not read/);
        await see(page, `${size}-away-list`);

        // Settled, agreed, reopened: it stands again and says why; undone, it holds.
        await follow(last);
        const toSettle = main.getByRole('region', { name: /^To settle/ });
        await toSettle.getByText(/^\d+ more to settle/).click();
        await follow(toSettle.getByRole('link', { name: /Control box/ }));
        const choices = page.getByRole('group', { name: 'How it is settled' });
        await choices.getByRole('button', { name: 'Keep: replace' }).click();
        await page.getByRole('button', { name: 'Settle it so' }).click();
        await page.getByRole('status').filter({ hasText: 'Settled. The lines meet.' }).waitFor();
        await go(page, 'Keepers');
        await follow(page.getByRole('link', { name: /^What was agreed, and why/ }));
        const agreed = main.getByRole('listitem').filter({ hasText: 'Decision: replace' });
        await agreed.getByRole('button', { name: /^Reopen/ }).click();
        const form = sheet(page, 'Reopen what was agreed?');
        await form.getByRole('button', { name: 'Reopen it' }).click();
        await form.getByText(/^Say why/).waitFor();
        await form.getByRole('textbox', { name: /^Why/ }).fill('A new regulator costs more than the car');
        await see(page, `${size}-reopen`);
        await form.getByRole('button', { name: 'Reopen it' }).click();
        await agreed.getByText(/^Reopened: A new regulator/).waitFor();
        await see(page, `${size}-agreed-reopened`);
        await go(page, 'Keepers');
        await follow(page.getByRole('region', { name: /^Points to settle/ }).getByRole('link', { name: /Control box/ }));
        await page.getByText(/^Reopened: A new regulator/).waitFor();
        await page.getByText('could not know of the other entry').first().waitFor();
        await see(page, `${size}-point-reopened`);
      });
    });

    test('what comes live in an evening is one coming, and the whole record is no news', async () => {
      const empty = join(demo.folder, `away-joins-${size}`);
      await mkdir(empty);
      await demo.at(`away-shows-${size}`, 'child', size, async (nell) => {
        await served(empty, `away-joins-${size}`, size, async (jonna) => {
          await joinBy(jonna, await ticketOf(nell), 'Jonna Ashdown', 'phone');
          await digits(nell);
          await digits(jonna);
          await jonna.getByRole('button', { name: 'They are the same' }).click();
          await nell.getByRole('button', { name: 'They are the same' }).click();
          await jonna.getByRole('button', { name: /^Cars: Aunt Dilys's Tern/ }).waitFor({ timeout: MEETS });
          // The newcomer lands where it can be seen coming.
          await jonna.getByRole('heading', { level: 1, name: 'Keepers' }).waitFor();
          await nell.getByRole('link', { name: /^With Jonna’s phone since/ }).waitFor({ timeout: MEETS });
          await go(jonna, 'Day');
          await settled(jonna);
          assert.equal(await quiet(jonna).count(), 0, 'a whole record is no news');

          // What came before both had the same belongs to the joining, and is no news: said again until it is.
          await eventually(async () => {
            await note(nell, 'Kingpin bush reamed by hand.');
            await go(jonna, 'Day');
            await quiet(jonna).waitFor({ timeout: 3_000 });
          }, MEETS);
          await note(nell, 'And the other one.');
          await follow(quiet(jonna));
          const main = jonna.getByRole('main');
          await main.getByText(/And the other one\./).waitFor({ timeout: MEETS });
          assert.match(await main.innerText(), /Nell Ashdown wrote on the day’s sheet/);
          await see(jonna, `${size}-away-live`);
          // What comes while one looks is read as well.
          await note(nell, 'Both are in.');
          await main.getByText(/Both are in\./).waitFor({ timeout: MEETS });
          await go(jonna, 'Day');
          await settled(jonna);
          assert.equal(await quiet(jonna).count(), 0);
          await go(jonna, 'Keepers');
          await follow(jonna.getByRole('link', { name: 'While you were away', exact: true }));
          await main.getByText('the whole record').waitFor();
          const listed = await main.getByRole('listitem').getByRole('link').filter({ hasText: /in a meeting|the whole record/ }).allInnerTexts();
          assert.equal(listed.length, 2, `${listed}`);
          assert.match(listed[0], /in a meeting with Nell.s phone/);
          assert.match(listed[1], /the whole record/);
        });
      });
    });
  });
}
