// Struck out and settled, in a browser: striking an assembly asks what becomes of what is in it, with moving up proposed; what is left
// stands on Car and stops the close-up around it until it is cleared; a bag with parts likewise; and one point settled two ways
// apart is asked about once more. At a phone's size and a wide one; axe finds nothing, and no request leaves loopback.
import assert from 'node:assert/strict';
import { join } from 'node:path';
import { after, before, describe, test } from 'node:test';
import { shot } from './browser.mjs';
import { garage, served, wholeOf, witnessmark } from './garage.mjs';
import { clean, fits, follow, go, pick, sheet, targets } from './screens.mjs';

let demo;
before(async () => {
  demo = await garage();
});
after(() => demo?.close());

const call = (folder, name, args) => witnessmark('call', name, JSON.stringify(args), '--at', folder);

/** Looks at a screen as every screen is looked at. */
async function see(page, name) {
  await shot(page, name);
  await fits(page, name);
  await targets(page, 44);
  await clean(page, name);
}

/** An assembly inside another with something of everything in it. */
async function pump(folder, parent) {
  const id = (await call(folder, 'add_assembly', { name: 'Water pump', parent })).id;
  const about = `assembly:${id}`;
  const on = '2025-11-16';
  const part = (await call(folder, 'add_part', { name: 'Impeller', assembly: id })).id;
  await call(folder, 'add_assembly', { name: 'Pump housing', parent: id });
  await call(folder, 'add_job', { what: 'Press the seal in', assembly: id });
  await call(folder, 'add_hold_point', { what: 'The drain hole is clear', assembly: id, how: 'seen' });
  await call(folder, 'add_finding', { about, what: 'A groove where the seal runs', on });
  await call(folder, 'add_reading', { about, what: 'End float', value: '0.30 mm', on });
  return { id, part, about };
}

for (const size of ['phone', 'wide']) {
  describe(`at the size of a ${size}`, () => {
    test('an assembly is struck out: asked what becomes of what is in it, left, found on Car, moved up', async () => {
      const nell = await demo.copy(`struck-${size}`, 'child');
      const engine = (await call(nell, 'add_assembly', { name: 'Spare engine' })).id;
      const it = await pump(nell, engine);
      await served(nell, `struck-${size}`, size, async (page) => {
        await go(page, 'Car');
        await follow(page.getByRole('link', { name: /^Water pump / }).first());
        await page.getByRole('heading', { level: 1, name: 'Water pump' }).waitFor();
        await page.getByRole('button', { name: /^Strike out ?: Water pump/ }).click();
        const form = sheet(page, 'Strike out');
        await form.getByText('It still has in it: 1 assembly, 1 part, 1 job, 1 hold point, 1 finding and 1 reading').waitFor();
        assert.ok(await form.getByRole('radio', { name: /^Move it up into Spare engine/ }).isChecked(), 'moving up is proposed');
        await see(page, `${size}-strike-asks`);
        // Without a reason nothing is done, and the choice stays.
        await form.getByRole('radio', { name: /^Leave it there/ }).check();
        await form.getByRole('button', { name: 'Strike it out' }).click();
        await form.getByRole('alert').getByText(/say why/).waitFor();
        await form.getByRole('textbox', { name: 'Why' }).fill('It belongs to the car of the neighbour');
        await form.getByRole('button', { name: 'Strike it out' }).click();
        await page.getByRole('status').filter({ hasText: 'Struck out. It can be taken back.' }).waitFor();

        // What is left is in sight on Car, and in the way of closing up what lies around it.
        await go(page, 'Car');
        const left = page.getByRole('region', { name: /^In what was struck/ });
        await left.getByRole('link', { name: 'Water pump', exact: true }).waitFor();
        await left.getByRole('link', { name: /Press the seal in/ }).waitFor();
        await left.scrollIntoViewIfNeeded();
        await see(page, `${size}-in-what-was-struck`);
        await follow(page.getByRole('link', { name: /^Spare engine / }).first());
        const closeUp = page.getByRole('region', { name: 'Close up' });
        await closeUp.getByText('struck, not empty').waitFor();
        await closeUp.getByRole('button', { name: /^Not yet: 4 things/ }).waitFor();
        await closeUp.scrollIntoViewIfNeeded();
        await see(page, `${size}-struck-in-the-way`);

        // It is moved up, in one act.
        await go(page, 'Car');
        await left.getByRole('button', { name: /^What becomes of what is left\?.*Water pump/ }).click();
        const clear = sheet(page, 'Left in Water pump');
        await clear.getByRole('radio', { name: /^Move it up into Spare engine/ }).waitFor();
        await see(page, `${size}-clear-struck`);
        await clear.getByRole('button', { name: 'Move it' }).click();
        await page.getByRole('status').filter({ hasText: 'Moved out of what was struck.' }).waitFor();
        await left.waitFor({ state: 'detached' });
        await follow(page.getByRole('link', { name: /^Spare engine / }).first());
        await page.getByRole('region', { name: /^Jobs/ }).getByRole('link', { name: 'Press the seal in', exact: true }).waitFor();
      });
      const engineNow = await call(nell, 'assembly', { id: engine });
      assert.deepEqual(engineNow.readings.map((one) => one.what), ['End float']);
      assert.equal((await call(nell, 'entry', { kind: 'part', id: it.part })).fields.assembly[0].value, engine);
    });

    test('at the top a job needs to be told where it goes; struck out with everything, all of it comes back', async () => {
      const nell = await demo.copy(`top-${size}`, 'child');
      const it = await pump(nell, null);
      await served(nell, `top-${size}`, size, async (page) => {
        await go(page, 'Car');
        await follow(page.getByRole('link', { name: /^Water pump / }).first());
        await page.getByRole('button', { name: /^Strike out ?: Water pump/ }).click();
        const form = sheet(page, 'Strike out');
        await pick(form, /^Into which assembly/, 'gearbox', /^Gearbox$/);
        await see(page, `${size}-strike-into`);
        await form.getByRole('radio', { name: /^Strike it out too/ }).check();
        await form.getByRole('textbox', { name: 'Why' }).fill('There is no such pump on this model');
        await form.getByRole('button', { name: 'Strike it out' }).click();
        await page.getByRole('button', { name: /^Take the strike back ?: Water pump/ }).waitFor();
        await see(page, `${size}-struck-with-all`);
        await page.getByRole('button', { name: /^Take the strike back ?: Water pump/ }).click();
        await page.getByRole('status').filter({ hasText: 'It stands again.' }).waitFor();
        await page.getByRole('button', { name: /^Strike out ?: Water pump/ }).waitFor();
      });
      assert.deepEqual((await call(nell, 'entry', { kind: 'part', id: it.part })).fields.struck.map((one) => one.value), [null]);
    });

    test('a bag with parts in it', async () => {
      const nell = await demo.copy(`bag-${size}`, 'child');
      const shelf = (await call(nell, 'add_container', { code: 'Z1', name: 'Shelf by the door' })).id;
      const bag = (await call(nell, 'add_container', { code: 'Z14', name: 'Collets', inside: shelf })).id;
      await call(nell, 'add_part', { name: 'Collet, odd one', container: bag });
      await served(nell, `bag-${size}`, size, async (page) => {
        await go(page, 'Stores');
        await follow(page.getByRole('link', { name: /^Z14 Collets/ }));
        await page.getByRole('button', { name: /^Strike out ?: / }).click();
        const form = sheet(page, 'Strike out');
        await form.getByText('It still has in it: 1 part').waitFor();
        await form.getByRole('radio', { name: /^Move it up into Z1: Shelf by the door/ }).waitFor();
        await see(page, `${size}-strike-bag`);
        await form.getByRole('radio', { name: /^Leave it there/ }).check();
        await form.getByRole('textbox', { name: 'Why' }).fill('The bag tore');
        await form.getByRole('button', { name: 'Strike it out' }).click();
        await page.getByRole('status').filter({ hasText: 'Struck out.' }).waitFor();
        await go(page, 'Stores');
        await page.getByRole('region', { name: /^In what was struck/ }).getByRole('link', { name: /Collet, odd one/ }).waitFor();
        await page.getByRole('region', { name: /^In what was struck/ }).scrollIntoViewIfNeeded();
        await see(page, `${size}-stores-struck`);
      });
    });

    test('struck here and worked on there; and one point settled two ways', async () => {
      const [nell, wilf] = [await demo.copy(`ways-nell-${size}`, 'child'), await demo.copy(`ways-wilf-${size}`, 'parent')];
      let files = 0;
      const meet = async () => {
        for (const [from, to] of [[nell, wilf], [wilf, nell]]) {
          const file = join(demo.folder, `ways-${size}-${(files += 1)}.carry`);
          await wholeOf(from, file);
          await witnessmark('carry', 'in', '--welcome', file, '--at', to);
        }
      };
      const engine = (await call(nell, 'add_assembly', { name: 'Spare engine' })).id;
      const it = await pump(nell, engine);
      await meet();
      await call(nell, 'strike', { name: it.about, why: 'It belongs to the car of the neighbour', inside: 'strike_too' });
      await call(wilf, 'add_job', { what: 'Fit the impeller', assembly: it.id });
      await meet();
      const orders = (await call(nell, 'points', {})).find((one) => one.rule === 'two_orders');
      await call(nell, 'settle', { point: orders.id, choice: 'cancel_first' });
      await call(wilf, 'settle', { point: orders.id, choice: 'cancel_second', why: 'The other shop is nearer' });
      await meet();
      await served(wilf, `ways-${size}`, size, async (page) => {
        await go(page, 'Keepers');
        const list = page.getByRole('region', { name: /^Points to settle/ });
        await follow(list.getByRole('link', { name: /^Struck here, worked on there.*Water pump/ }));
        const main = page.getByRole('main');
        await main.getByText('struck out: It belongs to the car of the neighbour').waitFor();
        await main.getByText('entered there').waitFor();
        await see(page, `${size}-struck-worked-on`);
        const settle = page.getByRole('group', { name: 'How it is settled' });
        await settle.getByRole('button', { name: /^It stays struck out; what was worked on moves up/ }).click();
        await page.getByRole('button', { name: 'Settle it so' }).click();
        await page.getByRole('status').filter({ hasText: 'Settled. The lines meet.' }).waitFor();

        await go(page, 'Keepers');
        await follow(list.getByRole('link', { name: /^Settled two ways/ }));
        await main.getByText(/is cancelled \('The other shop is nearer'\)/).waitFor();
        await main.getByText('could not know that it was settled already').first().waitFor();
        await see(page, `${size}-settled-two-ways`);
        await settle.getByRole('button', { name: 'Neither: leave all as it stands now, and say why' }).waitFor();
        // As Wilf settled it: the choice says which order that cancels, and which one stays.
        const his = await main.getByText(/is cancelled \('The other shop is nearer'\)/).first().innerText();
        const [, shop] = /from (.+?) of /.exec(his);
        await settle.getByRole('button', { name: new RegExp(`^Cancel .* from ${shop};`) }).click();
        await page.getByRole('button', { name: 'Settle it so' }).click();
        // What was told of the point before may still stand there.
        await settle.waitFor({ state: 'detached' });
        await page.getByRole('status').filter({ hasText: 'Settled. The lines meet.' }).waitFor();
      });
      const state = async (at) => (await call(wilf, 'entry', { kind: 'order', id: orders.about[at].slice('order:'.length) })).fields.state[0].value;
      assert.notEqual(await state(0), 'cancelled', 'what Nell had cancelled runs again');
      assert.equal(await state(1), 'cancelled');
      await meet();
      assert.deepEqual((await call(nell, 'points', {})).map((one) => one.id), (await call(wilf, 'points', {})).map((one) => one.id));
    });
  });
}
