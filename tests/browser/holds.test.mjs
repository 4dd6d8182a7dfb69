// A hold point is met by doing what it asks: a photograph, a count, a reading, a look; met by whom, taken back on screen; on the page of
// its assembly, at closing and on its own page. No tap meets one empty.
import assert from 'node:assert/strict';
import { after, before, describe, test } from 'node:test';
import { shot } from './browser.mjs';
import { garage, served, witnessmark } from './garage.mjs';
import { picture } from './pictures.mjs';
import { clean, fits, follow, go, keeps, sheet, targets } from './screens.mjs';

let demo;
before(async () => {
  demo = await garage();
});
after(() => demo?.close());

const SEEN = 'Split pin bent over';
const COUNTED = 'Thirteen rack bolts are back in';
const MEASURED = 'Both feet stand level';
const PHOTOGRAPHED = 'Strap the right way round';

for (const size of ['phone', 'wide']) {
  describe(`at the size of a ${size}`, () => {
    test('seen, counted, measured, photographed: each by what it asks, and none by an empty tap', async () => {
      const nell = await demo.copy(`holds-${size}`, 'child');
      const call = (name, args) => witnessmark('call', name, JSON.stringify(args), '--at', nell);
      const rack = (await call('add_assembly', { name: 'Roof rack' })).id;
      for (const [what, how] of [[SEEN, 'seen'], [COUNTED, 'counted'], [MEASURED, 'measured'], [PHOTOGRAPHED, 'photographed']]) {
        await call('add_hold_point', { what, assembly: rack, how, ...(how === 'counted' ? { wanted: 13 } : {}) });
      }
      await served(nell, `holds-${size}`, size, async (page) => {
        await go(page, 'Car');
        await follow(page.getByRole('link', { name: /^Roof rack / }).first());
        const holds = page.getByRole('region', { name: /^Hold points/ });
        const line = (what) => holds.getByRole('listitem').filter({ hasText: what });
        const up = page.getByRole('region', { name: 'Close up' });
        await up.getByRole('button', { name: /^Not yet: 4 things/ }).waitFor();
        await up.scrollIntoViewIfNeeded();
        await shot(page, `${size}-holds-close-up`);

        // Seen: an empty tap meets nothing.
        await line(SEEN).getByRole('button', { name: /^Seen …/ }).click();
        await sheet(page, SEEN).getByRole('button', { name: 'It is met' }).click();
        await sheet(page, SEEN).getByRole('alert').getByText(/Still wanted: what was seen/).waitFor();
        await sheet(page, SEEN).getByRole('textbox', { name: 'What was seen' }).fill('Both legs, with the torch');
        await keeps(sheet(page, SEEN), 'It is met');
        await line(SEEN).getByText('Both legs, with the torch').waitFor();
        await line(SEEN).getByText(/met by Nell Ashdown/).waitFor();
        // Taken back on screen, like a job; and met again.
        await line(SEEN).getByRole('button', { name: /^Not met after all/ }).click();
        await line(SEEN).getByRole('button', { name: /^Seen …/ }).click();
        await sheet(page, SEEN).getByRole('textbox', { name: 'What was seen' }).fill('Both legs');
        await keeps(sheet(page, SEEN), 'It is met');
        await line(SEEN).getByText(/met by Nell Ashdown/).waitFor();

        // Counted: a number, beside what was wanted; at closing.
        await up.getByRole('button', { name: /^Count … Thirteen/ }).click();
        const count = sheet(page, COUNTED);
        await count.getByText('Wanted: 13').waitFor();
        await count.getByRole('button', { name: 'It is met' }).click();
        await count.getByRole('alert').getByText(/how many were counted, in digits/).waitFor();
        // One short meets nothing; what was counted is kept, and stands in the way by that number.
        await count.getByRole('textbox', { name: 'How many were counted' }).fill('12');
        await count.getByRole('status').getByText(/12 counted, 13 wanted: it is not met/).waitFor();
        assert.equal(await count.getByRole('button', { name: 'It is met' }).count(), 0);
        await shot(page, `${size}-hold-short`);
        await keeps(count, 'Keep it: 12 counted, not met');
        await line(COUNTED).getByText('12 counted, 13 wanted').waitFor();
        await line(COUNTED).getByText(/counted by Nell Ashdown/).waitFor();
        await up.getByText(/open: 12 counted, 13 wanted/).waitFor();
        await up.getByRole('button', { name: /^Count … Thirteen/ }).click();
        await count.getByRole('textbox', { name: 'How many were counted' }).fill('13');
        await fits(page, 'a count');
        await clean(page, 'a count');
        await shot(page, `${size}-hold-count`);
        await keeps(count, 'It is met');
        await line(COUNTED).getByText('13 counted').waitFor();

        // Measured: takes a reading, which is kept as one.
        await line(MEASURED).getByRole('button', { name: /^Measured …/ }).click();
        await sheet(page, MEASURED).getByRole('button', { name: 'Take a reading' }).click();
        const reading = sheet(page, `A reading: ${MEASURED}`);
        await reading.getByRole('textbox', { name: /^What/ }).fill('Height of the left foot');
        await reading.getByRole('textbox', { name: /^Reading/ }).fill('41.5 mm');
        await reading.getByRole('button', { name: 'Keep it' }).click();
        // Held against nothing, it says nothing of whether that is enough: somebody has to.
        await sheet(page, MEASURED).getByRole('alert').getByText(/it has no limit/).waitFor();
        await sheet(page, MEASURED).getByRole('textbox', { name: /^Why it meets this/ }).fill('The right one is the same');
        await keeps(sheet(page, MEASURED), 'It is met');
        await line(MEASURED).getByText(/Height of the left foot.*41.5 mm/s).waitFor();
        await page.getByRole('region', { name: /^Readings/ }).getByText('Height of the left foot').first().waitFor();
        // Or by one that is here, which wants that word as well.
        await line(MEASURED).getByRole('button', { name: /^Not met after all/ }).click();
        await line(MEASURED).getByRole('button', { name: /^Measured …/ }).click();
        await sheet(page, MEASURED).getByRole('list', { name: /only with a word of why/ }).getByText(/it has no limit/).waitFor();
        await sheet(page, MEASURED).getByRole('button', { name: /^Height of the left foot/ }).click();
        await sheet(page, MEASURED).getByRole('button', { name: 'It is met' }).click();
        await sheet(page, MEASURED).getByRole('alert').getByText(/why it meets this all the same/).waitFor();
        await sheet(page, MEASURED).getByRole('textbox', { name: /^Why it meets this/ }).fill('The right one is the same');
        await fits(page, 'a reading with a word');
        await clean(page, 'a reading with a word');
        await shot(page, `${size}-hold-with-a-word`);
        await keeps(sheet(page, MEASURED), 'It is met');
        await line(MEASURED).getByText(/Height of the left foot.*41.5 mm/s).waitFor();

        // Photographed: on its own page, the camera; the photo is of the hold point.
        await follow(line(PHOTOGRAPHED).getByRole('link'));
        await page.getByRole('heading', { level: 1, name: PHOTOGRAPHED }).waitFor();
        const own = page.getByRole('region', { name: /^How it is met/ });
        await own.getByLabel('Photograph it').setInputFiles({ name: 'strap.png', mimeType: 'image/png', buffer: picture(size.length) });
        await sheet(page, 'What does it show?').getByRole('textbox', { name: 'What is to be seen' }).fill('Buckle to the rear');
        await sheet(page, 'What does it show?').getByRole('button', { name: 'Keep it so' }).click();
        await own.getByText(/met by Nell Ashdown/).waitFor();
        await page.getByRole('region', { name: /^Photos/ }).getByRole('img', { name: 'Buckle to the rear' }).waitFor();
        await fits(page, 'a hold point');
        await targets(page, 44);
        await clean(page, 'a hold point');
        await shot(page, `${size}-hold-own`);
        await follow(page.getByRole('link', { name: '‹ Roof rack', exact: true }));
        await up.getByRole('button', { name: 'Close it up' }).waitFor();
        await holds.scrollIntoViewIfNeeded();
        await shot(page, `${size}-holds-met`);
        const told = (words) => page.getByRole('status').filter({ hasText: words }).waitFor();
        // Closed by a slip of the thumb and taken back, nothing is looked at again; opened up, all of it is.
        await up.getByRole('button', { name: 'Close it up' }).click();
        await page.getByRole('button', { name: 'Undo' }).click();
        await told('Undone.');
        await page.getByText('4 hold points met').click();
        await page.getByRole('region', { name: /^Done/ }).getByText(/met by Nell Ashdown/).nth(3).waitFor();
        await up.getByRole('button', { name: 'Close it up' }).click();
        await told('Roof rack is closed up.');
        // Taken off closed as it is, it is not opened; and its page says where it is.
        await page.getByRole('button', { name: 'Change state' }).click();
        await shot(page, `${size}-holds-as-it-is`);
        await sheet(page, /how does it stand/).getByRole('button', { name: /Take it off the car, closed as it is/ }).click();
        await told('Roof rack is off the car, closed.');
        await page.getByText('closed, off the car').waitFor();
        await page.getByRole('region', { name: /^Done/ }).getByText(/met by Nell Ashdown/).nth(3).waitFor();
        await page.getByRole('button', { name: 'Change state' }).click();
        await sheet(page, /how does it stand/).getByRole('button', { name: /apart/i }).click();
        // One tap opens no closed one.
        await sheet(page, /how does it stand/).getByText('It is closed, and ‘apart’ opens it.').waitFor();
        await shot(page, `${size}-holds-opens-it`);
        await sheet(page, /how does it stand/).getByRole('button', { name: /Open it/ }).click();
        await told('Its 4 hold points are asked anew.');
        await holds.getByText(/asked anew by Nell Ashdown/).nth(3).waitFor();
        await shot(page, `${size}-holds-anew`);
        // What was measured before it was opened meets it no more, and says so.
        await line(MEASURED).getByRole('button', { name: /^Measured …/ }).click();
        await sheet(page, MEASURED).getByRole('list', { name: 'Not by these' }).getByText('it was taken before this was asked anew').waitFor();
        assert.equal(await sheet(page, MEASURED).getByRole('button', { name: /^Height of the left foot/ }).count(), 0);
        await fits(page, 'readings of before');
        await shot(page, `${size}-hold-readings-of-before`);
      });
      const anew = await call('assembly', { id: rack });
      assert.deepEqual(anew.holds.map((one) => one.state), ['open', 'open', 'open', 'open']);
      assert.ok(anew.photos.some((one) => one.about?.name.startsWith('hold_point:')), 'the photo is linked');
    });
  });
}
