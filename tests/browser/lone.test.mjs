// A keeper who keeps a record alone is told each week that nobody else has it, and is one tap from a sealed copy; in the week after one, and
// where a second device keeps it, nothing is said. At a phone's size and a wide one.
import assert from 'node:assert/strict';
import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { describe, test } from 'node:test';
import { shot } from './browser.mjs';
import { served, witnessmark } from './garage.mjs';
import { clean, fits, go, sheet, targets } from './screens.mjs';

const DAY = 24 * 3_600_000;

for (const size of ['phone', 'wide']) {
  describe(`at the size of a ${size}`, () => {
    test('nobody else has this: said after a week, and not in the week after a copy', { timeout: 120_000 }, async () => {
      const folder = await mkdtemp(join(tmpdir(), 'witnessmark-lone-'));
      await witnessmark('call', 'start_record', JSON.stringify({ car: 'Tern', keeper: 'Rosalind' }), '--at', folder);
      try {
        await served(folder, `lone-${size}`, size, async (page) => {
          const told = page.getByRole('region', { name: 'Nobody else has this' });
          const after = async (days) => {
            await page.clock.setFixedTime(new Date(Date.now() + days * DAY));
            await page.reload();
            await page.getByRole('heading', { name: 'How it stands tonight' }).waitFor();
            await go(page, 'Stores');
            await go(page, 'Day');
          };
          await after(5);
          assert.equal(await told.count(), 0, 'not in the first week');
          await after(9);
          await told.getByText('No copy is known here.').waitFor();
          await fits(page, 'nobody else has this');
          await clean(page, 'nobody else has this');
          await targets(page, 44);
          await shot(page, `${size}-lone`);
          await told.getByRole('button', { name: 'Write a copy' }).click();
          const form = sheet(page, 'A copy of everything');
          await form.getByRole('status', { name: 'How large it would be' }).getByText(/^It would hold/).waitFor();
          // Six words stand there: nothing has to be typed.
          const words = form.getByRole('textbox', { name: /^Passphrase/ });
          await page.waitForFunction((one) => one.value.trim().split(/[\s-]+/).length === 6, await words.elementHandle());
          await form.getByRole('button', { name: 'Write the file' }).click();
          await page.getByRole('link', { name: 'Take the file' }).waitFor();
          await after(12);
          assert.equal(await told.count(), 0, 'not in the week after a copy');
          await after(20);
          await told.getByText('The last copy was written 11 days ago.').waitFor();
        });
      } finally {
        await rm(folder, { recursive: true, force: true });
      }
    });
  });
}
