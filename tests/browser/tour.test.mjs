// The demo as somebody opens it today: it ended last night, it shows itself round until it is left, and it is never there again; and money
// that is typed without a sign.
import assert from 'node:assert/strict';
import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { after, before, describe, test } from 'node:test';
import { shot } from './browser.mjs';
import { served, witnessmark } from './garage.mjs';
import { clean, fits, go, keeps, preferences, sheet, targets, turnTo } from './screens.mjs';

let folder;
/** The days before and after this one, as the program that makes the demo has it. */
const day = (by) => new Date(Date.now() + by * 86_400_000).toISOString().slice(0, 10);
const weekday = (by) => new Date(`${day(by)}T12:00:00Z`).toLocaleDateString('en-GB', { weekday: 'long', timeZone: 'UTC' });
before(async () => {
  folder = await mkdtemp(join(tmpdir(), 'witnessmark-tour-'));
  await witnessmark('demo', '--into', join(folder, 'demo'), '--day', day(0));
});
after(() => rm(folder, { recursive: true, force: true }));

describe('the demo, opened today', () => {
  test('it ended last night, shows itself round by keyboard, and once left is a record like any other', async () => {
    const wilf = join(folder, 'demo/parent');
    await served(wilf, 'tour', 'phone', async (page) => {
      const tour = page.getByRole('region', { name: 'A tour of the demo' });
      await tour.getByText('A made-up car, to try things on.').waitFor();
      await shot(page, 'phone-tour-begin');
      await fits(page, 'tour');
      await targets(page, 44);
      await clean(page, 'tour');
      await tour.getByRole('button', { name: /^Show me/ }).focus();
      await page.keyboard.press('Enter');
      // Last night, and she comes tomorrow.
      await page.waitForURL(new RegExp(`#/day/${day(-1)}$`));
      await page.getByText(`Nell is back on ${weekday(1)}`).waitFor();
      await page.waitForFunction(() => document.activeElement?.textContent?.includes('Last night'));
      await shot(page, 'phone-tour-last-night');
      const seen = [];
      for (let at = 2; at <= 6; at += 1) {
        // What is said has the focus; the way on is a few steps of the tabulator away.
        await page.waitForFunction((at) => document.activeElement?.textContent?.trim().startsWith(`${at - 1} of 6`), at);
        await page.keyboard.press('Tab');
        await page.keyboard.press('Tab');
        if (at > 2) await page.keyboard.press('Tab');
        assert.match(await page.evaluate(() => document.activeElement.textContent), /^Next/);
        await page.keyboard.press('Enter');
        await tour.getByText(`${at} of 6.`).waitFor();
        seen.push(new URL(page.url()).hash.split('/')[1]);
        await shot(page, `phone-tour-${at}`);
        await clean(page, `tour ${at}`);
      }
      assert.deepEqual(seen, ['day', 'car', 'stores', 'bench', 'keepers']);
      assert.equal(await tour.getByRole('button', { name: /^Next/ }).count(), 0);
      await tour.getByRole('button', { name: 'Back' }).click();
      await tour.getByText('5 of 6.').waitFor();
      await tour.getByRole('button', { name: 'Leave the tour' }).click();
      await tour.waitFor({ state: 'detached' });
      await page.reload();
      await page.getByRole('heading', { level: 1 }).waitFor();
      await page.getByRole('navigation').first().waitFor();
      assert.equal(await tour.count(), 0, 'it is not offered again');
    });
    // The other folder has its own, and what was left here has left nothing in the record.
    const left = await witnessmark('call', 'tour', '{}', '--at', wilf);
    assert.deepEqual(left, { steps: [] });
    const hers = await witnessmark('call', 'tour', '{}', '--at', join(folder, 'demo/child'));
    assert.match(hers.steps[0].says, /Marlport/);
  });

  test('the number in the papers that is not the engine’s stands out', async () => {
    await served(join(folder, 'demo/parent'), 'numbers', 'phone', async (page) => {
      await go(page, 'Car');
      await page.getByText(/^not what is stamped: the engine says TE 14417, the same figures in another order/).waitFor();
      await clean(page, 'numbers');
      await shot(page, 'phone-numbers');
    });
  });

  test('money without a sign: asked once, then the household’s own; with a sign its own', async () => {
    const nell = join(folder, 'demo/child');
    await witnessmark('call', 'leave_tour', '{}', '--at', nell);
    const orders = async () => (await witnessmark('call', 'list', JSON.stringify({ kind: 'order' }), '--at', nell)).map(({ name }) => name);
    const prices = [];
    const had = await orders();
    await served(nell, 'money', 'phone', async (page) => {
      await turnTo(page, '#/stores');
      const ask = async (what, price, before) => {
        await page.getByRole('button', { name: '+ order' }).click();
        const form = sheet(page, 'To buy');
        await form.getByRole('textbox', { name: /^What/ }).fill(what);
        await form.getByRole('button', { name: /more/i }).click();
        await form.getByRole('textbox', { name: /^Price/ }).fill(price);
        await before?.(form);
        await keeps(form, 'Keep it');
      };
      await ask('Two yards of loom braid', '12.50', async (form) => {
        const own = form.getByRole('combobox', { name: 'Money without a sign is in' });
        await own.waitFor();
        assert.equal(await own.inputValue(), '', 'nothing is guessed');
        await clean(page, 'a sum without a sign');
        await shot(page, 'phone-house-currency');
        await own.selectOption('EUR');
      });
      await ask('A pot of paste', '3', async (form) => {
        await form.getByText('Without a sign it is in Euro.').waitFor();
      });
      await ask('A box of clips', '£4', undefined);
      const chosen = await preferences(page);
      await chosen.getByRole('combobox', { name: 'Money without a sign is in' }).waitFor();
    });
    for (const name of (await orders()).filter((one) => !had.includes(one))) {
      const entry = await witnessmark('call', 'entry', JSON.stringify({ kind: 'order', id: name.slice('order:'.length) }), '--at', nell);
      prices.push(entry.form.price);
    }
    assert.deepEqual(prices.sort(), ['EUR 12.50', 'EUR 3.00', 'GBP 4.00']);
  });
});
