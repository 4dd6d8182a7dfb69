// From a finding to the job that mends it and to its tries, with the words carried over and nothing typed twice; a job's own page does what
// the list does; an assembly that holds nothing says so before it closes.
import assert from 'node:assert/strict';
import { after, before, describe, test } from 'node:test';
import { shot } from './browser.mjs';
import { garage, served, witnessmark } from './garage.mjs';
import { clean, fits, follow, go, sheet, targets } from './screens.mjs';

let demo;
before(async () => {
  demo = await garage();
});
after(() => demo?.close());

for (const size of ['phone', 'wide']) {
  describe(`at the size of a ${size}`, () => {
    test('a finding becomes a job, a try stands with it, the job is done and the finding ends', async () => {
      const nell = await demo.copy(`thread-${size}`, 'child');
      const call = (name, args) => witnessmark('call', name, JSON.stringify(args), '--at', nell);
      const rack = (await call('add_assembly', { name: 'Roof rack' })).id;
      const foot = (await call('add_part', { name: 'Left foot', assembly: rack })).id;
      await call('add_finding', { about: `part:${foot}`, what: 'foot bent outwards', how_bad: 'mend', on: '2025-11-15' });
      await call('add_assembly', { name: 'Tow bar' });
      await served(nell, `thread-${size}`, size, async (page) => {
        // Nothing in it: that is said, and not that all was looked at.
        await go(page, 'Car');
        await follow(page.getByRole('link', { name: /^Tow bar / }).first());
        await page.getByRole('region', { name: 'Close up' }).getByText(/^It holds nothing yet/).waitFor();
        assert.equal(await page.getByText(/are all looked at/).count(), 0);

        await go(page, 'Car');
        await follow(page.getByRole('link', { name: /^Roof rack / }).first());
        await follow(page.getByRole('region', { name: /^Findings/ }).getByRole('link', { name: /^foot bent outwards/ }));
        await page.getByRole('button', { name: /^\+ job ?: foot bent/ }).click();
        const job = sheet(page, 'A job that mends: foot bent outwards');
        assert.equal(await job.getByRole('textbox', { name: /^What is to be done/ }).inputValue(), 'foot bent outwards');
        await job.getByRole('group', { name: /^Assembly/ }).getByText('Roof rack').waitFor();
        await clean(page, 'a job from a finding');
        await job.getByRole('button', { name: 'Keep it' }).click();
        const ended = page.getByRole('region', { name: 'How it ended' });
        await ended.getByText('still open: that job is not done').waitFor();
        await shot(page, `${size}-thread-finding`);

        // On the job's own page: a try, then done.
        await follow(ended.getByRole('link', { name: 'foot bent outwards' }));
        const stands = page.getByRole('region', { name: /^How it stands/ });
        await stands.getByRole('button', { name: '+ try' }).click();
        await sheet(page, /^A try/).getByRole('textbox', { name: /^What was done/ }).fill('Pressed cold over a mandrel');
        await sheet(page, /^A try/).getByRole('button', { name: 'Keep it' }).click();
        await stands.getByRole('link', { name: 'Pressed cold over a mandrel' }).waitFor();
        await fits(page, 'a job');
        await targets(page, 44);
        await clean(page, 'a job');
        await shot(page, `${size}-thread-job`);
        await stands.getByRole('button', { name: /^Done/ }).click();
        await sheet(page, 'foot bent outwards').getByRole('button', { name: 'Done', exact: true }).click();
        await stands.getByText(/^done by Nell Ashdown/).waitFor();
      });
      const { findings } = await call('assembly', { id: rack });
      assert.ok(findings.find((one) => one.what === 'foot bent outwards').end.holds, 'the finding ended with its job');
    });

    test('mended by a job that is not there yet: it is made from there', async () => {
      const nell = await demo.copy(`made-${size}`, 'child');
      const call = (name, args) => witnessmark('call', name, JSON.stringify(args), '--at', nell);
      const rack = (await call('add_assembly', { name: 'Roof rack' })).id;
      await call('add_finding', { about: `assembly:${rack}`, what: 'weld cracked', how_bad: 'danger', on: '2025-11-15' });
      await served(nell, `made-${size}`, size, async (page) => {
        await go(page, 'Car');
        await follow(page.getByRole('link', { name: /^Roof rack / }).first());
        await page.getByRole('region', { name: 'Close up' }).getByRole('button', { name: /^Mended by … ?: weld cracked/ }).click();
        const asked = sheet(page, 'How did it end? weld cracked');
        await asked.getByText('There is no job for it yet.').waitFor();
        await shot(page, `${size}-thread-no-job`);
        await asked.getByRole('button', { name: /a job that mends it/ }).click();
        await sheet(page, 'A job that mends: weld cracked').getByRole('button', { name: 'Keep it' }).click();
        await page.getByRole('region', { name: /^Jobs/ }).getByRole('link', { name: 'weld cracked' }).waitFor();
        await page.getByRole('dialog').waitFor({ state: 'hidden' });
      });
      const { findings } = await call('assembly', { id: rack });
      assert.equal(findings[0].end.job.title, 'weld cracked');
    });
  });
}
