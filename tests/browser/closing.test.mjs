// Closing up sees what a mechanic sees: a finding of danger inside stops it, the job that mends it lets it close; what is closed over all the
// same wants a reason that says something, which outlives the page, and goes on being shown. At a phone's size and a wide one.
import assert from 'node:assert/strict';
import { after, before, describe, test } from 'node:test';
import { shot } from './browser.mjs';
import { garage, served, witnessmark } from './garage.mjs';
import { clean, fits, go, sheet, targets } from './screens.mjs';

let demo;
before(async () => {
  demo = await garage();
});
after(() => demo?.close());

/** Opens an assembly of the car. */
async function assembly(page, name) {
  await go(page, 'Car');
  await page.getByRole('link', { name: new RegExp(`^${name} `) }).first().click();
  await page.getByRole('heading', { level: 1, name }).waitFor();
}

/** Looks at a screen as every screen is looked at. */
async function see(page, name) {
  await shot(page, name);
  await fits(page, name);
  await targets(page, 44);
  await clean(page, name);
}

const CRACKED = 'hose cracked to the cords';

for (const size of ['phone', 'wide']) {
  describe(`at the size of a ${size}`, () => {
    test('a finding of danger inside: closing asks, a job mends it, it closes', async () => {
      const nell = await demo.copy(`danger-${size}`, 'child');
      const call = (name, args) => witnessmark('call', name, JSON.stringify(args), '--at', nell);
      const trailer = (await call('add_assembly', { name: 'Trailer brakes' })).id;
      const bag = (await call('add_container', { code: 'B71', name: 'trailer hose' })).id;
      const hose = (await call('add_part', { name: 'Overrun hose', assembly: trailer, container: bag })).id;
      await call('add_finding', { about: `part:${hose}`, what: CRACKED, how_bad: 'danger', on: '2025-11-15' });
      await call('add_job', { what: 'Renew the overrun hose', assembly: trailer, part: hose });
      await served(nell, `danger-${size}`, size, async (page) => {
        await assembly(page, 'Trailer brakes');
        const up = page.getByRole('region', { name: 'Close up' });
        const findings = up.getByRole('group', { name: /^Findings without an end/ });
        await findings.getByRole('link', { name: CRACKED }).waitFor();
        await up.getByRole('note').getByText(/Brakes, steering and what carries the car/).waitFor();
        assert.ok(await up.getByRole('button', { name: /^Not yet: 3 things/ }).isDisabled());
        await up.getByRole('heading', { level: 3 }).first().getByText('Findings without an end').waitFor();
        await up.scrollIntoViewIfNeeded();
        await see(page, `${size}-close-up-danger`);

        await up.getByRole('button', { name: /^Put in ?: Overrun hose/ }).click();
        await up.getByRole('button', { name: /^Not yet: 2 things/ }).waitFor();
        // By a job that is still to be done: it will end it, and has not yet.
        await findings.getByRole('button', { name: /^Mended by … ?: hose cracked/ }).click();
        await sheet(page, `How did it end? ${CRACKED}`).getByRole('button', { name: /^Renew the overrun hose/ }).click();
        await up.getByRole('button', { name: /^Not yet: 2 things/ }).waitFor();
        await page.getByRole('region', { name: /^Jobs/ }).getByRole('button', { name: /^Done ?: Renew the overrun hose/ }).click();
        await sheet(page, 'Renew the overrun hose').getByRole('button', { name: 'Done', exact: true }).click();
        await up.getByRole('button', { name: 'Close it up' }).click();
        await page.getByRole('status').filter({ hasText: 'Trailer brakes is closed up.' }).waitFor();
        // The finding is folded, says which job mended it, and can be opened again.
        const all = page.getByRole('region', { name: /^Done/ });
        await all.getByText('1 finding ended').click();
        await all.getByText('Mended by').waitFor();
        await see(page, `${size}-finding-ended`);
        await all.getByRole('button', { name: /^Not ended after all ?: hose cracked/ }).click();
        await page.getByRole('region', { name: /^Findings/ }).getByRole('button', { name: /^Mended … ?: hose cracked/ }).waitFor();
      });
    });

    test('closed over with a reason that says something, which outlives the page and goes on being shown', async () => {
      const nell = await demo.copy(`over-${size}`, 'child');
      const call = (name, args) => witnessmark('call', name, JSON.stringify(args), '--at', nell);
      const rack = (await call('add_assembly', { name: 'Roof rack' })).id;
      for (const what of ['one foot bent', 'clamp rusted']) {
        await call('add_finding', { about: `assembly:${rack}`, what, how_bad: 'mend', on: '2025-11-15' });
      }
      await call('add_finding', { about: `assembly:${rack}`, what: 'weld cracked', how_bad: 'danger', on: '2025-11-15' });
      await served(nell, `over-${size}`, size, async (page) => {
        await assembly(page, 'Roof rack');
        const up = page.getByRole('region', { name: 'Close up' });
        await up.getByRole('checkbox', { name: /^Close over it: weld cracked/ }).check();
        const why = up.getByRole('textbox', { name: 'Why it may stay so' });
        await why.fill('.');
        await up.getByText('That says nothing yet').waitFor();
        assert.ok(await up.getByRole('button', { name: /^Not yet: 3 things/ }).isDisabled());
        await why.fill('Rack stays in the loft');
        await up.getByRole('button', { name: /^Not yet: 2 things/ }).waitFor();
        // What was half typed stays.
        await page.reload();
        await why.waitFor();
        assert.equal(await why.inputValue(), 'Rack stays in the loft');
        // One reason serves the rest of the sort.
        await up.getByRole('checkbox', { name: /^Close over all 2/ }).check();
        await why.last().fill('Nothing hangs on it');
        await see(page, `${size}-close-over`);
        await up.getByRole('button', { name: 'Close up over 3 things waived' }).click();
        const over = page.getByRole('region', { name: /^Closed over/ });
        await over.getByText('Rack stays in the loft').waitFor();
        assert.equal(await over.getByText('Nothing hangs on it').count(), 2);
        await over.scrollIntoViewIfNeeded();
        await see(page, `${size}-closed-over`);
      });
    });
  });
}
