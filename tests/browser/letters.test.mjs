// Large letters, gloves, a page twice as large and a phone on its side: every place of the five and what is opened most often fits its
// screen, so that no button lies beyond its right edge; a month's name in the strip of days is never written into the next one.
import assert from 'node:assert/strict';
import { after, before, test } from 'node:test';
import { shot } from './browser.mjs';
import { garage, served, witnessmark } from './garage.mjs';
import { fits, preferences, sheet, turnTo } from './screens.mjs';

let demo;
before(async () => {
  demo = await garage();
});
after(() => demo?.close());

/** Half a phone's width: what a page twice as large has. */
const TWICE = { width: 195, height: 422 };

for (const [how, size, { letters = '', gloves = false, viewport = null }] of [
  ['on a phone, the largest letters', 'phone', { letters: 'much larger' }],
  ['on a phone, the largest letters and gloves', 'phone', { letters: 'much larger', gloves: true }],
  ['on a phone, twice as large', 'phone', { viewport: TWICE }],
  ['on a phone on its side, large letters and gloves', 'side', { letters: 'larger', gloves: true }],
]) {
  test(`every place fits its screen, ${how}`, async () => {
    const name = how.replace(/\W+/g, '-');
    const nell = await demo.copy(name, 'child');
    const call = (of, args = {}) => witnessmark('call', of, JSON.stringify(args), '--at', nell);
    const first = async (kind) => (await call('list', { kind }))[0].name;
    const [assembly, part, run, container] = [await first('assembly'), await first('part'), await first('tightening_run'), await first('container')];
    await served(nell, name, size, async (page) => {
      await page.getByRole('heading', { level: 1 }).waitFor();
      const prefer = await preferences(page);
      if (letters) await prefer.getByRole('radio', { name: letters, exact: true }).check();
      if (gloves) await prefer.getByRole('radio', { name: /gloves on/ }).check();
      await prefer.getByRole('button', { name: 'Back' }).click();
      if (viewport) await page.setViewportSize(viewport);
      const inside = (name) => page.getByRole('region', { name }).getByRole('link').first();
      for (const [way, whole] of [
        ['day', inside('Days')],
        ['car', inside(/^Assemblies/)],
        ['bench', inside(/^Limits/)],
        ['stores', inside(/^Containers/)],
        ['keepers', page.getByRole('region', { name: 'Who' }).getByRole('link', { name: 'Pair a device' })],
        [`car/${assembly}`, page.getByRole('button', { name: '+ part' })],
        [`car/${part}`, page.getByRole('button', { name: 'another like it' })],
        [`car/${run}`, page.getByRole('button', { name: 'Change the run' })],
        [`stores/${container}`, page.getByRole('button', { name: '+ a part into it' })],
      ]) {
        await turnTo(page, `#/${way}`);
        await whole.waitFor();
        await shot(page, `letters-${name}-${way.replace(/\W.*/, '')}`);
        await fits(page, `${way}, ${how}`);
        if (!way.startsWith('car/assembly')) continue;
        for (const [act, title] of [['Change state', /how does it stand\?$/], ['+ hold point', /^A hold point in/]]) {
          await page.getByRole('button', { name: act, exact: true }).click();
          await sheet(page, title).getByRole('button').first().waitFor();
          await fits(page, `${act}, ${how}`);
          await sheet(page, title).getByRole('button', { name: 'Leave it' }).click();
        }
      }
      await turnTo(page, '#/day');
      const months = page.getByRole('region', { name: 'Days' }).getByRole('listitem');
      await months.first().waitFor();
      const written = await months.evaluateAll((all) =>
        all.flatMap((one) => {
          const name = one.querySelector('p');
          if (!name?.textContent) return [];
          const words = document.createRange();
          words.selectNodeContents(name);
          const [text, day] = [words.getBoundingClientRect(), one.getBoundingClientRect()];
          return text.right > day.right + 1 ? [`${name.textContent}: ${text.right} beyond ${day.right}`] : [];
        }),
      );
      assert.deepEqual(written, [], `no month is written into the next, ${how}`);
    });
  });
}
