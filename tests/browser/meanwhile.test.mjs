// What was written meanwhile, in another tab or by whoever was met, under what is open here: an undo takes none of it back, and a sheet that
// is open goes by it. At a phone's size and a wide one.
import assert from 'node:assert/strict';
import { after, before, describe, test } from 'node:test';
import { garage } from './garage.mjs';
import { clean, fits, go, sheet, turnTo } from './screens.mjs';

let demo;
before(async () => {
  demo = await garage();
});
after(() => demo?.close());

for (const size of ['phone', 'wide']) {
  describe(`at the size of a ${size}`, () => {
    test('an undo is refused where something else stands since; a carry file is reckoned again', async () => {
      await demo.at(`meanwhile-${size}`, 'child', size, async (page, _, device) => {
        // Another tab of the same program.
        const elsewhere = (name, args) =>
          page.evaluate(
            async ([name, args, token]) => (await (await fetch('call', { method: 'POST', headers: { 'X-Witnessmark-Token': token }, body: JSON.stringify({ name, args }) })).json()).reply,
            [name, args, device.token],
          );
        await go(page, 'Day');
        const day = await page.getByLabel('Go to a day').inputValue();
        const hours = page.getByRole('button', { name: /at the bench$/ });
        const keep = async (typed) => {
          await hours.click();
          const form = sheet(page, 'Hours at the bench');
          await form.getByRole('textbox', { name: 'Hours' }).fill(typed);
          await form.getByRole('button', { name: 'Keep the hours' }).click();
          return form;
        };
        const undo = page.getByRole('button', { name: 'Undo' });
        const told = (words) => page.getByRole('status').filter({ hasText: words }).first().waitFor();

        // What is no number stands at its field, in the form's words.
        const form = await keep('lots');
        await form.getByRole('alert').getByText(/^Hours of a day are a number/).waitFor();
        await form.getByRole('button', { name: 'Leave it' }).click();

        // Undone, what stood before stands again; where others stand since, those do.
        await keep('2,5');
        await hours.getByText('2.5 h').waitFor();
        await undo.click();
        await told('Undone.');
        await hours.getByText('2.5 h').waitFor({ state: 'detached' });
        await keep('2');
        await told('Hours kept.');
        await elsewhere('put_hours', { day, hours: '3.5' });
        await hours.getByText('3.5 h').waitFor();
        await undo.click();
        await told('Not undone: it was changed again since');
        await hours.getByText('3.5 h').waitFor();

        // My sheet likewise.
        const words = page.getByRole('button', { name: /^Write the sheet|^Change the sheet|^Write on/ }).first();
        await words.click();
        const mine = sheet(page, /^My sheet/);
        await mine.getByRole('textbox', { name: 'My sheet' }).fill('Lid off.');
        await mine.getByRole('button', { name: 'Keep the sheet' }).click();
        await told('Sheet kept.');
        await elsewhere('write_sheet', { day, before: 'Lid off.', after: 'Lid off, and four nuts in a tin.' });
        await page.getByText('Lid off, and four nuts in a tin.').waitFor();
        await undo.click();
        await told('Not undone: it was changed again since');
        await page.getByText('Lid off, and four nuts in a tin.').waitFor();

        // A form is open while somebody else writes in the same field, and in another.
        const { id } = await elsewhere('add_part', { name: 'Hinge washer', position: 'left', on: day });
        await turnTo(page, `#/car/part:${id}`);
        await page.getByRole('button', { name: 'Change', exact: true }).click();
        const change = sheet(page, /^Hinge washer/);
        await change.getByRole('textbox', { name: /^Name/ }).fill('Hinge washer, thin');
        await elsewhere('change_part', { id, fields: { name: 'Hinge washer, brass', position: 'right' } });
        await change.getByText('Written meanwhile: Hinge washer, brass').waitFor();
        await fits(page, 'a form with what was written meanwhile');
        await clean(page, 'a form with what was written meanwhile');
        assert.equal(await change.getByRole('textbox', { name: /^Position|^Where/ }).first().inputValue(), 'right', 'what nobody touched here reads as it reads by now');
        assert.equal(await change.getByRole('textbox', { name: /^Name/ }).inputValue(), 'Hinge washer, thin');
        await change.getByRole('button', { name: 'Keep the change' }).click();
        await page.getByRole('heading', { level: 1, name: /^Hinge washer, thin/ }).waitFor();
        await undo.click();
        await page.getByRole('heading', { level: 1, name: /^Hinge washer, brass/ }).waitFor();

        // An assembly's own form likewise.
        const lid = await elsewhere('add_assembly', { name: 'Hinge' });
        await turnTo(page, `#/car/assembly:${lid.id}`);
        await page.getByRole('button', { name: 'Change name, place, notes' }).click();
        const named = sheet(page, 'Hinge').getByRole('textbox', { name: /^Name/ });
        await named.fill('Hinge, left');
        await elsewhere('change_assembly', { id: lid.id, fields: { name: 'Hinge, right' } });
        await page.getByText('Written meanwhile: Hinge, right').waitFor();
        await page.getByRole('button', { name: /^Take that/ }).click();
        await page.getByText('Written meanwhile: Hinge, right').waitFor({ state: 'detached' });
        assert.equal(await page.getByRole('dialog').getByRole('textbox', { name: /^Name/ }).inputValue(), 'Hinge, right');
        await page.getByRole('dialog').getByRole('button', { name: 'Leave it' }).click();

        // The sheet of a carry file is open while an entry is made.
        await go(page, 'Keepers');
        await page.getByRole('button', { name: /^Carry out everything/ }).click();
        const out = sheet(page, 'Carry out everything');
        const large = out.getByRole('status', { name: 'How large it would be' });
        await large.getByText(/^It would hold/).waitFor();
        const holds = async () => Number(/(\d+) entr/.exec(await large.innerText())?.[1]);
        const before = await holds();
        assert.ok(before > 100, `entries: ${before}`);
        await elsewhere('add_order', { what: 'Grease for the tail hinge', on: day });
        await large.getByText(new RegExp(`hold ${before + 1} entr`)).waitFor();
      });
    });
  });
}
