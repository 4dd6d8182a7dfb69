// How it stands tonight, in a browser: what can hurt somebody stands at the top of Day and of Car on both devices until somebody ends it.
// Three taps say it; a danger under a lid goes on being shown; a strike does not hide it. Axe finds nothing, no request leaves loopback.
import assert from 'node:assert/strict';
import { join } from 'node:path';
import { after, before, describe, test } from 'node:test';
import { shot } from './browser.mjs';
import { garage, served, wholeOf, witnessmark } from './garage.mjs';
import { clean, fits, follow, go, sheet, targets } from './screens.mjs';

let demo;
before(async () => {
  demo = await garage();
});
after(() => demo?.close());

const call = (folder, name, args) => witnessmark('call', name, JSON.stringify(args), '--at', folder);
const tonight = (page) => page.getByRole('region', { name: 'How it stands tonight' }).filter({ visible: true });

for (const size of ['phone', 'wide']) {
  describe(`at the size of a ${size}`, () => {
    test('three taps say it, the other keeper sees it and ends it', async () => {
      const parent = await demo.copy(`tonight-parent-${size}`, 'parent');
      const child = await demo.copy(`tonight-child-${size}`, 'child');
      await served(parent, `tonight-say-${size}`, size, async (page) => {
        await go(page, 'Day');
        await tonight(page).getByRole('button', { name: /say how it stands/ }).click();
        const says = sheet(page, 'How does it stand?');
        await says.getByRole('button', { name: 'On stands', exact: true }).click();
        await says.getByRole('button', { name: 'No brakes', exact: true }).click();
        await shot(page, `${size}-tonight-say`);
        await targets(page, 44);
        await clean(page, `${size}-tonight-say`);
        await says.getByRole('button', { name: 'It stands so' }).click();
        await page.getByRole('status').filter({ hasText: /until somebody ends it: On stands, No brakes/ }).waitFor();
        await tonight(page).getByText(/On stands/).first().waitFor();
        await shot(page, `${size}-tonight-day`);
        await fits(page, `${size}-tonight-day`);
        await go(page, 'Car');
        await tonight(page).getByText(/No brakes/).first().waitFor();
        await shot(page, `${size}-tonight-car`);
        await fits(page, `${size}-tonight-car`);
        await clean(page, `${size}-tonight-car`);
      });
      const file = join(demo.folder, `tonight-${size}.carry`);
      await wholeOf(parent, file);
      await call(child, 'carry_in', { file, welcome: true });
      await served(child, `tonight-end-${size}`, size, async (page) => {
        await go(page, 'Day');
        await tonight(page).locator('summary').click();
        const line = tonight(page).getByRole('listitem').filter({ hasText: 'On stands' });
        await line.getByText(/today/).first().waitFor();
        await targets(page, 44);
        await line.getByRole('button', { name: /^No longer so ?: On stands/ }).click();
        const ends = sheet(page, /On stands/);
        await ends.getByLabel(/What was done/).fill('on its wheels, nuts at 80 Nm');
        await shot(page, `${size}-tonight-end`);
        await ends.getByRole('button', { name: 'It is no longer so' }).click();
        await page.getByRole('status').filter({ hasText: 'No longer so: On stands' }).waitFor();
        await tonight(page).getByText(/On stands/).first().waitFor({ state: 'detached' });
        await tonight(page).getByText(/No brakes/).first().waitFor();
        await page.getByRole('link', { name: /No longer so.*On stands.*on its wheels/s }).first().waitFor();
        await shot(page, `${size}-tonight-ended`);
        await clean(page, `${size}-tonight-ended`);
      });
    });

    test('a danger under a lid is told of on Day, on Car, in the tree and on its own page, and no strike hides it', async () => {
      const folder = await demo.copy(`tonight-lid-${size}`, 'parent');
      const brakes = (await call(folder, 'add_assembly', { name: 'Rear drums' })).id;
      const today = new Date().toISOString().slice(0, 10);
      const hose = (await call(folder, 'add_finding', { about: `assembly:${brakes}`, what: 'Hose cracked to the cords', how_bad: 'danger', on: today })).id;
      await assert.rejects(call(folder, 'close_up', { assembly: brakes, waive: [{ about: `finding:${hose}`, why: 'ok' }] }), /few words/);
      await call(folder, 'close_up', { assembly: brakes, waive: [{ about: `finding:${hose}`, why: 'the hose comes on Friday' }] });
      await assert.rejects(call(folder, 'strike', { name: `finding:${hose}`, why: 'slip' }), /has no end/);
      await served(folder, `tonight-lid-${size}`, size, async (page) => {
        await go(page, 'Day');
        await tonight(page).getByText(/danger.* found: .*Rear drums/s).first().waitFor();
        await page.getByRole('link', { name: /Closed up.*Rear drums.*over a danger: 'Hose cracked to the cords'/s }).waitFor();
        await go(page, 'Car');
        await follow(page.getByRole('link', { name: /^Rear drums .*a danger in it/s }).first());
        await page.getByText(/closed over what can hurt somebody: Hose cracked to the cords/).waitFor();
        await shot(page, `${size}-tonight-closed`);
        await fits(page, `${size}-tonight-closed`);
        await clean(page, `${size}-tonight-closed`);
        await follow(page.getByRole('link', { name: /Hose cracked to the cords/ }).first());
        await page.getByText(/Closed over in Rear drums: the hose comes on Friday/).waitFor();
        await shot(page, `${size}-tonight-finding`);
      });
    });
  });
}
