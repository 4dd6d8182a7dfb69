// What a day tells, in a browser: what the parent entered and the child did weeks later stands on the day on which it was done, under
// whoever did it; many alike are one line that opens. At a phone's size and a wide one; axe finds nothing, no request leaves loopback.
import assert from 'node:assert/strict';
import { join } from 'node:path';
import { after, before, describe, test } from 'node:test';
import { shot } from './browser.mjs';
import { garage, served, wholeOf, witnessmark } from './garage.mjs';
import { clean, fits, follow, go, pick, sheet, targets, turnTo } from './screens.mjs';

let demo;
before(async () => {
  demo = await garage();
});
after(() => demo?.close());

const call = (folder, name, args) => witnessmark('call', name, JSON.stringify(args), '--at', folder);

for (const size of ['phone', 'wide']) {
  describe(`at the size of a ${size}`, () => {
    test('a job that the parent entered stands on the day on which the child did it, with her name', async () => {
      const parent = await demo.copy(`day-parent-${size}`, 'parent');
      const nell = await demo.copy(`day-child-${size}`, 'child');
      const keepers = await call(nell, 'keepers', {});
      const herName = keepers.keepers.find((keeper) => keeper.me).name;
      const hinge = (await call(parent, 'add_assembly', { name: 'Bonnet hinge' })).id;
      const bag = (await call(parent, 'add_container', { code: 'B77', name: 'Hinge' })).id;
      await call(parent, 'add_job', { what: 'Free the hinge pin', assembly: hinge, on: '2025-09-02' });
      for (let at = 1; at <= 5; at += 1) {
        await call(parent, 'add_part', { name: `Hinge washer ${at}`, assembly: hinge, container: bag });
      }
      const file = join(demo.folder, `day-${size}.carry`);
      await wholeOf(parent, file);
      await call(nell, 'carry_in', { file, welcome: true });
      await served(nell, `day-${size}`, size, async (page) => {
        await go(page, 'Car');
        await follow(page.getByRole('link', { name: /^Bonnet hinge / }).first());
        await page.getByRole('button', { name: /^Done ?: Free the hinge pin/ }).click();
        const done = sheet(page, /Free the hinge pin/);
        await done.getByRole('button', { name: 'Done', exact: true }).click();
        await page.getByRole('status').filter({ hasText: /Job done/ }).waitFor();

        await go(page, 'Day');
        const hers = page.getByRole('region', { name: herName });
        await hers.getByRole('link', { name: /Job done · Bonnet hinge\s*Free the hinge pin/ }).waitFor();
        // Not one of the parent's lines is the job: he only entered it, in another month.
        assert.equal(await page.getByRole('link', { name: /Free the hinge pin/ }).count(), 1);
        const many = page.getByRole('group').filter({ hasText: 'Into B77' });
        await many.getByText('5 parts').click();
        await many.getByRole('link', { name: 'Hinge washer 5' }).waitFor();
        await shot(page, `${size}-day-deeds`);
        await fits(page, `${size}-day-deeds`);
        await targets(page, 44);
        await clean(page, `${size}-day-deeds`);

        await turnTo(page, '#/day/2025-09-02');
        await page.getByRole('link', { name: /Job to do · Bonnet hinge\s*Free the hinge pin/ }).waitFor();
      });
    });

    test('a day as the keeper writes it, the head of a phone in two lines, and what a HEIC wants switched', async () => {
      await demo.at(`day-written-${size}`, 'child', size, async (page) => {
        await go(page, 'Day');
        if (size === 'phone') {
          const saved = page.getByRole('banner').getByRole('link');
          await saved.getByText(/^On this phone only: \d+ entries since \d+ \w+ \d{4}$/).waitFor();
          const lines = await saved.evaluate((one) => {
            const words = document.createRange();
            words.selectNodeContents(one);
            return new Set([...words.getClientRects()].map((box) => Math.round(box.top))).size;
          });
          assert.ok(lines <= 2, `where it is saved, in two lines: ${lines}`);
        }
        await page.getByRole('button', { name: 'Finding', exact: true }).click();
        const form = sheet(page, 'A finding');
        await pick(form, 'What it is about', 'gearb', /^Gearbox/);
        await form.getByRole('textbox', { name: /^What was seen/ }).fill('Lid sits a hair proud');
        await form.getByRole('button', { name: '+ more about it' }).click();
        const on = form.getByRole('textbox', { name: /^Day/ });
        // It stands there as days are said, and no other way.
        assert.match(await on.inputValue(), /^\d+ [A-Z][a-z]+ \d{4}$/);
        await on.fill('soon');
        await form.getByRole('button', { name: 'Keep it' }).click();
        await form.getByRole('alert').getByText('That is no day of the calendar.').waitFor();
        await on.fill('26.10.25');
        await form.getByText('Sunday 26 October 2025').waitFor();
        await fits(page, 'a day as it is typed');
        await clean(page, 'a day as it is typed');
        await shot(page, `${size}-day-typed`);
        await form.getByRole('button', { name: 'Keep it' }).click();
        await page.getByRole('status').filter({ hasText: 'Kept: finding.' }).first().waitFor();
        await turnTo(page, '#/day/2025-10-26');
        await page.getByRole('link', { name: /Lid sits a hair proud/ }).waitFor();
        await page.getByLabel('Photo', { exact: true }).setInputFiles({ name: 'lid.HEIC', mimeType: 'image/heic', buffer: Buffer.from('no picture that is read here') });
        const shows = sheet(page, 'What does it show?');
        await shows.getByText(/Switch it once, on the phone: .* most compatible/).waitFor();
        await fits(page, 'a HEIC');
        await shot(page, `${size}-heic`);
      });
    });
  });
}
