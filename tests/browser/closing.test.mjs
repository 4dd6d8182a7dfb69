// Closing up sees what a mechanic sees: a finding of danger inside stops it, the job that mends it lets it close; what is closed over all the
// same wants a reason that says something, which outlives the page, and goes on being shown. An empty one asks for its parts first; a refusal
// is a list; what was laid out or opened stays so when the page is asked for again. At a phone's size and a wide one.
import assert from 'node:assert/strict';
import { after, before, describe, test } from 'node:test';
import { shot } from './browser.mjs';
import { garage, served, witnessmark, wholeOf } from './garage.mjs';
import { clean, eventually, fits, follow, go, sheet, targets, turnTo } from './screens.mjs';

let demo;
before(async () => {
  demo = await garage();
});
after(() => demo?.close());

/** Opens an assembly of the car. */
async function assembly(page, name) {
  await go(page, 'Car');
  await follow(page.getByRole('link', { name: new RegExp(`^${name} `) }).first());
  await page.getByRole('heading', { level: 1, name }).waitFor();
}

/** Looks at a screen as every screen is looked at. */
async function see(page, name) {
  await shot(page, name);
  await fits(page, name);
  await targets(page, 44);
  await clean(page, name);
}

/** Done on the same device beside the page, as by another window of it. */
async function beside({ port, token }, name, args) {
  const answer = await fetch(`http://127.0.0.1:${port}/call`, {
    method: 'POST',
    headers: { 'Content-Type': 'application/json', 'X-Witnessmark-Token': token },
    body: JSON.stringify({ name, args }),
  });
  assert.equal(answer.status, 200, `${name}: ${await answer.clone().text()}`);
}

/** Whether a button is painted as the act that the page is there for. */
const painted = (button) => button.evaluate((one) => getComputedStyle(one).backgroundImage !== 'none');

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

    test('an assembly with nothing in it asks for its parts first, and can be closed all the same', async () => {
      const nell = await demo.copy(`empty-${size}`, 'child');
      await witnessmark('call', 'add_assembly', JSON.stringify({ name: 'Roof rack' }), '--at', nell);
      await served(nell, `empty-${size}`, size, async (page) => {
        await assembly(page, 'Roof rack');
        const up = page.getByRole('region', { name: 'Close up' });
        const [first, close] = [up.getByRole('button', { name: 'Enter its parts' }), up.getByRole('button', { name: /^Close it up/ })];
        assert.deepEqual([await painted(first), await painted(close)], [true, false], 'the first thing to do is the loudest');
        await see(page, `${size}-close-up-empty`);
        await first.click();
        await sheet(page, 'A part in Roof rack').getByRole('textbox', { name: /^Name/ }).fill('Rear clamp');
        await sheet(page, 'A part in Roof rack').getByRole('button', { name: 'Keep it' }).click();
        await page.getByRole('link', { name: /^Rear clamp/ }).waitFor();
        await eventually(async () => assert.equal(await painted(close), true, 'with something in it, it is there to be closed'));
        assert.equal(await first.count(), 0);
      });
    });

    test('refused, since something came into the way: a short sentence and a list, each with what mends it', async () => {
      const nell = await demo.copy(`refused-${size}`, 'child');
      const his = await demo.copy(`refused-his-${size}`, 'parent');
      const at = (folder) => (name, args) => witnessmark('call', name, JSON.stringify(args), '--at', folder);
      const rack = (await at(nell)('add_assembly', { name: 'Roof rack' })).id;
      await at(nell)('add_part', { name: 'Rear clamp', assembly: rack });
      const file = `${demo.folder}/refused-${size}.carry`;
      await wholeOf(nell, file);
      await at(his)('carry_in', { file, welcome: true });
      await at(nell)('close_up', { assembly: rack, waive: [] });
      await at(his)('change_assembly', { id: rack, fields: { state: 'apart' } });
      await at(his)('add_job', { what: 'Straighten the foot', assembly: rack, on: '2025-11-15' });
      await at(his)('add_finding', { about: `assembly:${rack}`, what: 'weld cracked', how_bad: 'danger', on: '2025-11-15' });
      await wholeOf(his, file.replace('.carry', '-his.carry'));
      await at(nell)('carry_in', { file: file.replace('.carry', '-his.carry'), welcome: true });
      const { points } = await at(nell)('keepers', {});
      const point = points.find((one) => one.id === one.question && one.title.includes('Roof rack') && one.rule === 'two_values');
      const other = (await at(nell)('add_assembly', { name: 'Tow bar' })).id;
      await at(nell)('add_part', { name: 'Ball', assembly: other });
      await served(nell, `refused-${size}`, size, async (page, _, device) => {
        // Settled as closed, over what is open.
        await turnTo(page, `#/keepers/point:${point.id}`);
        await page.getByRole('group', { name: 'How it is settled' }).getByRole('button', { name: /closed/ }).click();
        await page.getByRole('button', { name: 'Settle it so' }).click();
        const alert = page.getByRole('alert').first();
        await alert.waitFor();
        assert.match(await alert.innerText(), /^Roof rack cannot close yet: 2 things in the way\.\n/);
        const way = page.getByRole('list', { name: 'In the way' });
        assert.equal(await way.getByRole('listitem').count(), 2);
        await way.getByRole('link', { name: /^To the job ?: Straighten the foot/ }).waitFor();
        await see(page, `${size}-refused`);
        await way.getByRole('button', { name: /^Mended by … ?: weld cracked/ }).click();
        await sheet(page, 'How did it end? weld cracked').getByRole('button', { name: 'Leave it' }).click();
        // There is a way on: closed up on its own page, over what is open and with a reason for each, the point is settled by that.
        await page.getByRole('link', { name: 'To the closing of Roof rack' }).click();
        await page.getByRole('heading', { level: 1, name: 'Roof rack' }).waitFor();
        const lid = page.getByRole('region', { name: 'Close up' });
        await lid.getByText(/One says that it is closed, and another does not/).waitFor();
        // As it is shown it is in pieces, and nobody said where its clamp is: these are asked about as well.
        const over = lid.getByRole('checkbox', { name: /^Close over it: / });
        assert.equal(await over.count(), 4);
        for (let at = 0; at < 4; at += 1) {
          await over.nth(at).check();
          await lid.getByRole('textbox', { name: 'Why it may stay so' }).nth(at).fill('It carries nothing until spring');
        }
        await see(page, `${size}-disputed-closing`);
        await lid.getByRole('button', { name: 'Close up over 4 things waived' }).click();
        await page.getByRole('status').filter({ hasText: 'Roof rack is closed up.' }).waitFor();
        await page.goto(new URL(`#/keepers/point:${point.id}`, page.url()).href);
        await page.getByText('This point is settled.').waitFor();

        // Closed up, while another window wrote something into it.
        await assembly(page, 'Tow bar');
        const up = page.getByRole('region', { name: 'Close up' });
        await page.route('**/call', async (route) => {
          if (route.request().postData()?.includes('"close_up"')) await beside(device, 'add_job', { what: 'Grease the ball', assembly: other, on: '2025-11-15' });
          await route.continue();
        });
        await up.getByRole('button', { name: 'Close it up' }).click();
        await up.getByRole('alert').getByText('Tow bar cannot close yet: 1 thing in the way.').waitFor();
        await up.getByRole('link', { name: /^Grease the ball/ }).first().waitFor();
      });
    });

    test('what was laid out or opened stays so, when more comes into the way and when one comes back', async () => {
      const nell = await demo.copy(`stays-${size}`, 'child');
      const call = (name, args) => witnessmark('call', name, JSON.stringify(args), '--at', nell);
      const rack = (await call('add_assembly', { name: 'Roof rack' })).id;
      for (let at = 1; at <= 6; at += 1) await call('add_job', { what: `Straighten foot ${at}`, assembly: rack, on: '2025-11-15' });
      const done = (await call('add_job', { what: 'Clean it', assembly: rack, on: '2025-11-14' })).id;
      await call('change_job', { id: done, fields: { state: 'done' } });
      await served(nell, `stays-${size}`, size, async (page, _, device) => {
        await assembly(page, 'Roof rack');
        const up = page.getByRole('region', { name: 'Close up' });
        const over = up.getByRole('checkbox', { name: /^Close over all/ });
        await over.waitFor();
        await beside(device, 'add_job', { what: 'Straighten foot 7', assembly: rack, on: '2025-11-15' });
        await up.getByText('7 things').first().waitFor();
        assert.ok(await over.isVisible(), 'what was laid out is not folded under the eyes');
        // Opened, left, and come back to.
        const all = page.getByRole('region', { name: /^Done/ });
        const again = all.getByRole('button', { name: /^Open it again/ });
        await all.getByText(/^1 job done/).click();
        await again.waitFor();
        await follow(page.getByRole('link', { name: 'Straighten foot 1', exact: true }).last());
        await page.getByRole('heading', { level: 1, name: 'Straighten foot 1' }).waitFor();
        await follow(page.getByRole('link', { name: '‹ Roof rack', exact: true }));
        await again.waitFor();
        await see(page, `${size}-folds`);
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
