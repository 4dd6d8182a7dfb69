// Where a part is: one large line, in the words of a mechanic; into a bag and back into its place by two taps from either side, taken back
// at once; what is on the car lies nowhere else, and all of what is left in bags is put in by one tap at closing.
import assert from 'node:assert/strict';
import { after, before, describe, test } from 'node:test';
import { shot } from './browser.mjs';
import { garage, served, witnessmark } from './garage.mjs';
import { clean, fits, follow, go, pick, sheet, targets } from './screens.mjs';

let demo;
before(async () => {
  demo = await garage();
});
after(() => demo?.close());

for (const size of ['phone', 'wide']) {
  describe(`at the size of a ${size}`, () => {
    test('in the car, into a bag, away, and back in its place', async () => {
      const nell = await demo.copy(`where-${size}`, 'child');
      const call = (name, args) => witnessmark('call', name, JSON.stringify(args), '--at', nell);
      const rack = (await call('add_assembly', { name: 'Roof rack' })).id;
      const strap = (await call('add_part', { name: 'Long strap', assembly: rack })).id;
      const short = (await call('add_part', { name: 'Short strap', assembly: rack })).id;
      const shelf = (await call('add_container', { code: 'X91', place: 'left-hand shelves' })).id;
      await call('add_container', { code: 'B901', name: 'straps', inside: shelf });
      await served(nell, `where-${size}`, size, async (page) => {
        const told = (words) => page.getByRole('status').filter({ hasText: words }).waitFor();
        await go(page, 'Car');
        await follow(page.getByRole('link', { name: /^Roof rack / }).first());
        const parts = page.getByRole('region', { name: /^Parts/ });
        const line = parts.getByRole('link', { name: /^Long strap/ });
        await line.getByText('In the car: Roof rack').waitFor();
        await follow(line);
        await page.getByText('In the car: Roof rack', { exact: true }).waitFor();
        // Into a bag: two taps, and the code typed.
        await page.getByRole('button', { name: 'It lies …' }).click();
        await fits(page, 'where it lies');
        await clean(page, 'where it lies');
        await shot(page, `${size}-where-lies`);
        await pick(sheet(page, /where does it lie/), 'In a container', 'B901', /^B901/);
        await page.getByText('B901: straps, in X91, left-hand shelves', { exact: true }).first().waitFor();
        await page.getByRole('button', { name: 'Undo' }).click();
        await page.getByText('In the car: Roof rack', { exact: true }).waitFor();
        await page.getByRole('button', { name: 'It lies …' }).click();
        await pick(sheet(page, /where does it lie/), 'In a container', 'B901', /^B901/);
        await told('lies in B901');
        await shot(page, `${size}-where-bag`);
        // From the side of the bag: back by one tap, and another in by two.
        await go(page, 'Stores');
        await follow(page.getByRole('link', { name: /^B901/ }));
        const within = page.getByRole('region', { name: /^What lies in it/ });
        await within.getByRole('button', { name: /^Back in its place ?: Long strap/ }).click();
        await within.getByText(/^Empty\./).waitFor();
        await within.getByRole('button', { name: '+ a part into it' }).click();
        await pick(sheet(page, 'Into B901'), 'Which part', 'Short strap', /^Short strap/);
        await within.getByRole('link', { name: /Short strap/ }).waitFor();
        await fits(page, 'a container');
        await targets(page, 44);
        await shot(page, `${size}-where-container`);
        // Away, and with whom.
        await follow(within.getByRole('link', { name: /Short strap/ }));
        await page.getByRole('button', { name: 'It lies …' }).click();
        const where = sheet(page, /where does it lie/);
        await where.getByRole('radio', { name: 'Away' }).check();
        await where.getByRole('textbox', { name: /^With whom/ }).fill('the saddler');
        await where.getByRole('button', { name: 'It lies there' }).click();
        await page.getByText('Away: the saddler', { exact: true }).first().waitFor();
        await clean(page, 'where a part is');
        // What is not in stands in the way of closing, and all of it is put in at once.
        await go(page, 'Car');
        await follow(page.getByRole('link', { name: /^Roof rack / }).first());
        const up = page.getByRole('region', { name: 'Close up' });
        const bags = up.getByRole('group', { name: /^Parts that are not in/ });
        await bags.getByText(/away: the saddler/).waitFor();
        await bags.getByRole('button', { name: /^Put in ?: Short strap/ }).click();
        await up.getByRole('button', { name: 'Close it up' }).waitFor();
        await page.getByRole('button', { name: 'Undo' }).click();
        await bags.getByText(/away: the saddler/).waitFor();
      });
      for (const part of [strap, short]) await call('change_part', { id: part, fields: { container: 'off:on the bench' } });
      const lost = (await call('add_part', { name: 'Buckle', assembly: rack })).id;
      await call('change_part', { id: lost, fields: { container: 'lost:under the bench' } });
      await served(nell, `where-all-${size}`, size, async (page) => {
        await go(page, 'Car');
        await follow(page.getByRole('link', { name: /^Roof rack / }).first());
        const up = page.getByRole('region', { name: 'Close up' });
        await up.scrollIntoViewIfNeeded();
        await shot(page, `${size}-where-closing`);
        await up.getByRole('button', { name: 'All 2 that are here are in' }).click();
        // What was not found is not put in with the others.
        await up.getByRole('button', { name: /^Not yet: one thing|^Not yet: 1 thing/ }).waitFor();
        await up.getByRole('button', { name: /^Found, and put in ?: Buckle/ }).click();
        await up.getByRole('button', { name: 'Close it up' }).waitFor();
      });
      const page = await call('assembly', { id: rack });
      assert.deepEqual(page.parts.map((part) => part.lies), ['In the car: Roof rack', 'In the car: Roof rack', 'In the car: Roof rack']);
    });
  });
}

