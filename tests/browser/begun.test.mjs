// Half-done work, in a browser: a job is begun, whoever leaves its assembly is offered to say where it stops, and Day opens with what is
// begun. A job is put off to a later round, which closing up says; a bigger one takes another; what is of no assembly is the car's own. Axe
// finds nothing, no request leaves loopback.
import assert from 'node:assert/strict';
import { after, before, describe, test } from 'node:test';
import { shot } from './browser.mjs';
import { garage, served, witnessmark } from './garage.mjs';
import { clean, fits, go, keeps, sheet, targets, turnTo } from './screens.mjs';

let demo;
before(async () => {
  demo = await garage();
});
after(() => demo?.close());

const call = (folder, name, args) => witnessmark('call', name, JSON.stringify(args), '--at', folder);
const region = (page, name) => page.getByRole('region', { name }).filter({ visible: true });
const told = (page, words) => page.getByRole('status').filter({ hasText: words }).waitFor();

for (const size of ['phone', 'wide']) {
  describe(`at the size of a ${size}`, () => {
    test('what is begun says where it stopped, and Day opens with it', async () => {
      const folder = await demo.copy(`begun-${size}`, 'parent');
      const hub = (await call(folder, 'add_assembly', { name: 'Wheel hub' })).id;
      const nut = (await call(folder, 'add_job', { what: 'Draw the nut', assembly: hub, hands: 2, helper: 'Pete, next door' })).id;
      await call(folder, 'add_job', { what: 'Grease the bearing', assembly: hub });
      await call(folder, 'add_job', { what: 'Paint the hub', assembly: hub });
      await served(folder, `begun-${size}`, size, async (page) => {
        await go(page, 'Day');
        // Last evening's is there, with where it stopped.
        await region(page, 'Begun: 1').getByText(/^Left off: Six of the thirteen done/).waitFor();
        await turnTo(page, `#/car/assembly:${hub}`);
        const jobs = region(page, /^Jobs/);
        await jobs.getByRole('button', { name: /^Begin ?: Draw the nut/ }).click();
        await told(page, 'Job begun');
        await jobs.getByText(/Takes 2 people, with Pete, next door/).waitFor();
        await jobs.getByRole('button', { name: '+ try' }).first().click();
        const tries = sheet(page, 'A try: Draw the nut');
        await tries.getByLabel(/What was done/).fill('Soaked, then the long bar');
        await tries.getByLabel(/What came of it/).fill('will not start');
        await keeps(tries, /^Keep/);
        await shot(page, `${size}-begun-jobs`);
        await fits(page, `${size}-begun-jobs`);
        await clean(page, `${size}-begun-jobs`);
        // Whoever goes to another place is offered to say where it stops, with what was said last.
        await go(page, 'Day');
        await told(page, 'Left half done: Draw the nut');
        await shot(page, `${size}-begun-offer`);
        await page.getByRole('button', { name: 'Say where' }).click();
        const leaves = sheet(page, 'Where does it stop?');
        const field = leaves.getByLabel('Draw the nut');
        assert.equal(await field.inputValue(), 'Soaked, then the long bar: will not start');
        await field.fill('Soaking since ten; the bar lies on the sill');
        await shot(page, `${size}-begun-leave`);
        await targets(page, 44);
        await clean(page, `${size}-begun-leave`);
        await keeps(leaves, 'Left off there');
        const begun = region(page, 'Begun: 2');
        await begun.getByText('Left off: Soaking since ten; the bar lies on the sill').waitFor();
        await shot(page, `${size}-begun-day`);
        await fits(page, `${size}-begun-day`);
        await targets(page, 44);
        await clean(page, `${size}-begun-day`);
        // Looked at and left alone, nothing is offered.
        await turnTo(page, `#/car/assembly:${hub}`);
        await page.getByText(/Left off: Soaking since ten/).first().waitFor();
        await go(page, 'Day');
        await begun.waitFor();
        assert.equal(await page.getByRole('button', { name: 'Say where' }).count(), 0);

        // Not in this round: it is in nobody's way, and closing up says so by itself.
        await turnTo(page, `#/car/assembly:${hub}`);
        await jobs.getByRole('button', { name: /^Not now … ?: Paint the hub/ }).click();
        const paint = sheet(page, 'Paint the hub');
        await shot(page, `${size}-begun-not-now`);
        await clean(page, `${size}-begun-not-now`);
        await keeps(paint, 'Later');
        await told(page, 'Later, not in this round');
        const close = region(page, 'Close up');
        await close.getByText(/1 job left for later, not in this round/).waitFor();
        await close.getByText('2 things', { exact: true }).waitFor();
        // The bigger job does it as well.
        await jobs.getByRole('button', { name: /^Not now … ?: Grease the bearing/ }).click();
        const grease = sheet(page, 'Grease the bearing');
        await grease.getByRole('group', { name: 'Or a bigger job does it as well' }).getByRole('button').first().click();
        await grease.getByRole('searchbox').fill('Draw the nut');
        await grease.getByRole('button', { name: /^Draw the nut/ }).first().click();
        await keeps(grease, 'Left to the bigger job');
        await turnTo(page, `#/car/job:${nut}`);
        await jobs.waitFor({ state: 'detached' });
        await region(page, /^How it stands/).getByRole('button', { name: /^Done/ }).click();
        await keeps(sheet(page, 'Draw the nut'), 'Done');
        await turnTo(page, `#/car/assembly:${hub}`);
        await close.getByText(/1 job left for later/).waitFor();
        await shot(page, `${size}-begun-close-up`);
        await close.getByRole('button', { name: 'Close it up', exact: true }).click();
        await page.getByText(/1 job left for later, not in this round/).waitFor();
        await page.getByText('2 jobs done or dropped').click();
        await page.getByText(/A bigger job does it as well: Draw the nut/).waitFor();
        await shot(page, `${size}-begun-closed`);
        await fits(page, `${size}-begun-closed`);
        await clean(page, `${size}-begun-closed`);
      });
    });

    test('a job, a hold point and a reading may be the car’s', async () => {
      const folder = await demo.copy(`own-${size}`, 'parent');
      await served(folder, `own-${size}`, size, async (page) => {
        await go(page, 'Car');
        await region(page, /^Jobs/).getByRole('button', { name: '+ job' }).click();
        const job = sheet(page, /^A job/);
        await job.getByLabel(/What is to be done/).fill('First mile, nobody behind');
        await keeps(job, /^Keep/);
        await region(page, /^Jobs/).getByRole('link', { name: 'First mile, nobody behind' }).waitFor();
        await region(page, /^Hold points/).getByRole('button', { name: '+ hold point' }).click();
        const hold = sheet(page, /^A hold point/);
        await hold.getByLabel(/What must be so/).fill('All four wheels on the ground');
        await hold.getByRole('radio', { name: 'seen', exact: true }).check();
        await keeps(hold, /^Keep/);
        await region(page, /^Hold points/).getByRole('button', { name: /^Seen … ?All four wheels/ }).click();
        const seen = sheet(page, 'All four wheels on the ground');
        await seen.getByLabel(/What was seen/).fill('walked round it twice');
        await keeps(seen, 'It is met');
        await region(page, /^Hold points/).getByText('walked round it twice').waitFor();
        await region(page, /^Readings/).getByRole('button', { name: '+ reading' }).click();
        const reading = sheet(page, /^A reading/);
        await reading.getByLabel(/What was measured/).fill('Weight on the front axle');
        await reading.getByLabel(/^Reading/).fill('310 kg');
        await keeps(reading, /^Keep/);
        await region(page, /^Readings/).getByText(/Weight on the front axle/).first().waitFor();
        await shot(page, `${size}-car-own`);
        await fits(page, `${size}-car-own`);
        await targets(page, 44);
        await clean(page, `${size}-car-own`);
      });
    });
  });
}
