// Findings say more and end truly: sound, only suspected until somebody looked, by an earlier hand, because of another; a reading measured again
// beside the one before it; and what becomes of an old part, asked where the new one is put in and found where one looks for it. At a phone's size
// and a wide one.
import assert from 'node:assert/strict';
import { after, before, describe, test } from 'node:test';
import { shot } from './browser.mjs';
import { garage, served, witnessmark } from './garage.mjs';
import { clean, fits, follow, go, goBack, keeps, pick, sheet, targets, turnTo } from './screens.mjs';

let demo;
before(async () => {
  demo = await garage();
});
after(() => demo?.close());

const ON = '2025-11-15';

/** Looks at a screen as every screen is looked at. */
async function see(page, name) {
  await shot(page, name);
  await fits(page, name);
  await targets(page, 44);
  await clean(page, name);
}

for (const size of ['phone', 'wide']) {
  describe(`at the size of a ${size}`, () => {
    test('suspected is asked while it is open and at closing; sound is in no way; an earlier hand is listed, and what comes of what', async () => {
      const nell = await demo.copy(`suspected-${size}`, 'child');
      const call = (name, args) => witnessmark('call', name, JSON.stringify(args), '--at', nell);
      const rack = (await call('add_assembly', { name: 'Roof rack' })).id;
      const about = `assembly:${rack}`;
      await call('add_part', { name: 'Rear clamp', assembly: rack });
      await call('add_finding', { about, what: 'clamps', how_bad: 'sound', on: ON });
      const weld = (await call('add_finding', { about, what: 'weld cracked under the paint', how_bad: 'noted', how_sure: 'suspected', on: ON })).id;
      await call('add_finding', { about, what: 'drilled for another rail', how_bad: 'noted', came_by: 'earlier_hand', on: ON });
      await served(nell, `suspected-${size}`, size, async (page) => {
        await turnTo(page, `#/car/${about}`);
        const look = page.getByRole('region', { name: /^Look now/ });
        await look.getByRole('link', { name: /weld cracked/ }).waitFor();
        // At closing it is asked as well; what is sound is not.
        const up = page.getByRole('region', { name: 'Close up' });
        const group = up.getByRole('group', { name: /^Findings without an end/ });
        assert.equal(await group.getByRole('link').count(), 1, 'only what is suspected is asked about');
        await group.getByText('suspected').waitFor();
        await see(page, `${size}-suspected`);
        await look.getByRole('button', { name: /^Not so … ?: weld cracked/ }).click();
        const notSo = sheet(page, /^It is not so/);
        assert.ok(await notSo.getByRole('button', { name: 'Not so', exact: true }).isDisabled(), 'a tap alone rules nothing out');
        await notSo.getByRole('textbox', { name: 'What you saw' }).fill('only the paint, seen with a lens');
        await keeps(notSo, 'Not so');
        await look.waitFor({ state: 'detached' });
        await up.getByRole('button', { name: 'Close it up' }).waitFor();
        const done = page.getByRole('region', { name: /^Done/ });
        await done.getByText('2 findings ended, or sound').click();
        await done.getByText('only the paint, seen with a lens').waitFor();
        await done.getByText('sound, nothing wrong').waitFor();
        // All that an earlier hand did, and the finding that comes of it, shown from both sides.
        await follow(page.getByRole('region', { name: /^Findings/ }).getByRole('link', { name: /drilled for another rail/ }));
        await page.getByRole('link', { name: 'Where else did they?' }).waitFor();
        await see(page, `${size}-earlier-finding`);
        await follow(page.getByRole('link', { name: 'Where else did they?' }));
        await page.getByRole('heading', { level: 1, name: 'What an earlier hand did' }).waitFor();
        await see(page, `${size}-earlier-hand`);
        await page.getByRole('link', { name: /^drilled for another rail/ }).waitFor();
        await turnTo(page, `#/car/finding:${weld}`);
        await page.getByRole('button', { name: 'Change', exact: true }).click();
        const form = sheet(page, /^weld cracked/);
        await form.getByRole('button', { name: '+ more about it' }).click();
        await pick(form, /^Because of/, 'drilled', /^drilled for another rail/);
        await keeps(form, 'Keep the change');
        await page.getByRole('group', { name: 'Because of' }).getByRole('link', { name: /drilled/ }).waitFor();
        await follow(page.getByRole('group', { name: 'Because of' }).getByRole('link', { name: /drilled/ }));
        await page.getByRole('group', { name: 'It led to' }).getByRole('link', { name: /weld cracked/ }).waitFor();
        await see(page, `${size}-because-of`);
      });
    });

    test('measured again by who knew the first: that one is asked about no more, and both stand side by side', async () => {
      const nell = await demo.copy(`again-${size}`, 'child');
      const call = (name, args) => witnessmark('call', name, JSON.stringify(args), '--at', nell);
      const rack = (await call('add_assembly', { name: 'Roof rack' })).id;
      const about = `assembly:${rack}`;
      await call('add_part', { name: 'Rear clamp', assembly: rack });
      const limit = (await call('add_limit', { what: 'clamp play', high: '0.20 mm' })).id;
      const out = (await call('add_reading', { what: 'clamp play', about, value: '0.35 mm', limit, on: ON })).id;
      await served(nell, `again-${size}`, size, async (page) => {
        await turnTo(page, `#/car/${about}`);
        const up = page.getByRole('region', { name: 'Close up' });
        await up.getByRole('button', { name: /^Measure again/ }).click();
        const form = sheet(page, /^Measured again/);
        await form.getByRole('textbox', { name: /^Reading/ }).fill('0.12 mm');
        await keeps(form, 'Keep it');
        await up.getByRole('group', { name: /^Readings out of limits/ }).waitFor({ state: 'detached' });
        assert.equal(await page.getByRole('group', { name: 'What mends it' }).count(), 0, 'its remedies went');
        await turnTo(page, `#/car/reading:${out}`);
        const both = page.getByRole('region', { name: 'Before and after' });
        await both.getByText('This one', { exact: true }).waitFor();
        await both.getByRole('link', { name: '0.12 mm' }).waitFor();
        await see(page, `${size}-before-after`);
        await follow(both.getByRole('link', { name: '0.12 mm' }));
        await page.getByRole('region', { name: 'Before and after' }).getByRole('link', { name: '0.35 mm' }).waitFor();
      });
    });

    test('what becomes of the old part is asked where the new one comes, and found on its page, in where-is and in a list', async () => {
      const nell = await demo.copy(`old-${size}`, 'child');
      const call = (name, args) => witnessmark('call', name, JSON.stringify(args), '--at', nell);
      const rack = (await call('add_assembly', { name: 'Roof rack' })).id;
      const clamp = (await call('add_part', { name: 'Rear clamp', assembly: rack, decision: 'replace' })).id;
      const foot = (await call('add_part', { name: 'Front foot', assembly: rack, decision: 'replace' })).id;
      const order = (await call('add_order', { what: 'Front foot', part: foot, state: 'in' })).id;
      await served(nell, `old-${size}`, size, async (page) => {
        await turnTo(page, `#/car/assembly:${rack}`);
        const up = page.getByRole('region', { name: 'Close up' });
        await up.getByRole('button', { name: /^The old one … ?: Rear clamp/ }).click();
        const asked = sheet(page, 'Rear clamp: what becomes of the old one?');
        await asked.getByRole('button', { name: 'core owed: to be sent back' }).waitFor();
        await see(page, `${size}-old-one`);
        await keeps(asked, 'core owed: to be sent back');
        await turnTo(page, `#/car/part:${clamp}`);
        await page.getByRole('definition').getByText('core owed: to be sent back').waitFor();
        await see(page, `${size}-old-one-part`);
        // Where the order for a new one is in.
        await turnTo(page, `#/stores/order:${order}`);
        await page.getByRole('button', { name: /^The old one … ?: Front foot/ }).click();
        await keeps(sheet(page, 'Front foot: what becomes of the old one?'), 'to sell');
        await go(page, 'Stores');
        await page.getByRole('searchbox', { name: 'Where is …?' }).fill('rear clamp');
        await page.getByRole('link', { name: /Rear clamp.*The old one: core owed/ }).waitFor();
        await page.getByRole('searchbox', { name: 'Where is …?' }).fill('');
        const old = page.getByRole('region', { name: /^Old parts/ });
        await old.getByRole('list', { name: /^core owed/i }).getByRole('link', { name: /Rear clamp/ }).waitFor();
        await old.getByRole('list', { name: /^to sell/i }).getByRole('link', { name: /Front foot/ }).waitFor();
        await old.scrollIntoViewIfNeeded();
        await see(page, `${size}-old-parts`);
        await follow(old.getByRole('link', { name: /Front foot/ }));
        await goBack(page);
      });
    });
  });
}
