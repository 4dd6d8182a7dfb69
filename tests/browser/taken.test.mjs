// Many pictures taken in from a phone's gallery: picked at once, shown by their days before any is entered, one act that is taken back by
// one tap. What a header says of the day is tested where it is read.
import { after, before, describe, test } from 'node:test';
import { shot } from './browser.mjs';
import { garage } from './garage.mjs';
import { picture } from './pictures.mjs';
import { clean, fits, follow, go, sheet, targets } from './screens.mjs';

describe('pictures from the gallery', { timeout: 240_000 }, () => {
  let demo;
  before(async () => {
    demo = await garage();
  });
  after(() => demo?.close());

  for (const size of ['phone', 'wide']) {
    test(`many at once, at the size of ${size === 'phone' ? 'a phone' : 'a laptop'}`, async () => {
      await demo.at(`taken-${size}`, 'child', size, async (page) => {
        await go(page, 'Car');
        await follow(page.getByRole('link', { name: /^Gearbox / }).first());
        const photos = page.getByRole('region', { name: /^Photos/ });
        const count = () => photos.getByRole('listitem').count();
        const before = await count();
        const roll = [1, 2, 3].map((seed) => ({ name: `${seed}.png`, mimeType: 'image/png', buffer: picture(70 + seed + size.length) }));
        const pick = async (files) => {
          await page.getByRole('button', { name: 'More to capture' }).click();
          await sheet(page, 'Write down').getByLabel('Pictures from the gallery').setInputFiles(files);
        };
        await pick([...roll, { name: 'list.txt', mimeType: 'image/png', buffer: Buffer.from('half-inch spanner, rags') }]);
        const taking = sheet(page, 'Pictures to take in');
        await taking.getByRole('button', { name: 'Take in 3 pictures' }).waitFor();
        // What is no picture keeps no other out, and is told by its name.
        await taking.getByText('One is left out').click();
        await taking.getByRole('listitem').filter({ hasText: 'list.txt' }).getByText(/no photo/).waitFor();
        await taking.getByRole('heading', { name: /: 3 pictures$/ }).waitFor();
        await taking.getByText(/3 do not say when/).waitFor();
        await fits(page, 'pictures to take in');
        await targets(page, 44);
        await clean(page, 'pictures to take in');
        await shot(page, `${size}-taken-in`);
        // The camera's clock was wrong: all move with the first.
        await taking.getByRole('textbox', { name: /^The first was taken on/ }).fill('1.3.2031');
        await taking.getByRole('heading', { name: /1 March 2031: 3 pictures$/ }).waitFor();
        await taking.getByRole('button', { name: 'Take in 3 pictures' }).click();
        await page.getByRole('status').getByText('3 photos taken in.').waitFor();
        await photos.getByRole('listitem').nth(before + 2).waitFor();
        // Picked once more they are there already.
        await pick(roll);
        await taking.getByRole('button', { name: 'Take in 3 pictures' }).click();
        await page.getByRole('status').getByText('0 photos taken in. 3 were here before.').waitFor();
        // Others, and taken back by one tap.
        await pick([81, 82].map((seed) => ({ name: `${seed}.png`, mimeType: 'image/png', buffer: picture(seed + size.length) })));
        await taking.getByRole('button', { name: 'Take in 2 pictures' }).click();
        await photos.getByRole('listitem').nth(before + 4).waitFor();
        await page.getByRole('button', { name: 'Undo' }).click();
        await page.getByRole('status').getByText('Undone.').waitFor();
        await photos.getByText('struck out').nth(1).waitFor();
      });
    });
  }
});
