// Who is let in and what guards a keeper from a slip, on the pages: a copied folder asks which device it is, a passphrase is
// proposed, a password over plain http is said twice, and a lost phone's passwords are told.
import assert from 'node:assert/strict';
import { cp } from 'node:fs/promises';
import { join } from 'node:path';
import { after, before, describe, test } from 'node:test';
import { garage, served } from './garage.mjs';
import { note, see, ticketOf } from './keepers.mjs';
import { eventually, follow, go, sheet } from './screens.mjs';

let demo;
before(async () => {
  demo = await garage();
});
after(() => demo?.close());

describe('who this device is', () => {
  for (const size of ['phone', 'wide']) {
    test(`a copied folder asks once, and becomes a device of its own (${size})`, async () => {
      const first = await demo.copy(`first-${size}`, 'child');
      // Whoever pairs has a key.
      await served(first, `first-${size}`, size, async (page) => {
        await note(page, 'Before the copy was made.');
        await ticketOf(page);
        await page.getByRole('button', { name: 'Stop' }).click();
      });
      const copied = join(demo.folder, `copied-${size}`);
      await cp(first, copied, { recursive: true });
      await served(copied, `copied-${size}`, size, async (page) => {
        const asks = page.getByRole('region', { name: 'The same device, or a copy?' });
        await asks.getByText(/lies elsewhere than it did/).waitFor();
        await see(page, `same-or-copy-${size}`);
        await asks.getByRole('button', { name: 'A copy: the other goes on, or was stolen' }).click();
        await asks.waitFor({ state: 'hidden' });
        await note(page, 'Written by the copy.');
        await go(page, 'Keepers');
        await follow(page.getByRole('link', { name: /^Devices, and a lost phone/ }));
        await page.getByText(/copy of .* · this device/).waitFor();
        await see(page, `copy-among-devices-${size}`);
      });
    });
  }
});

describe('slips', () => {
  test('six words are proposed, weak ones refused; http is said twice; a lost phone knew the password', async () => {
    await demo.at('guarded', 'child', 'phone', async (page) => {
      await go(page, 'Keepers');
      await page.getByRole('button', { name: 'Carry out everything, for a newcomer' }).click();
      const out = sheet(page, 'Carry out everything');
      const words = out.getByRole('textbox', { name: /^Passphrase/ });
      await words.fill('passwordpassword');
      await out.getByRole('button', { name: 'Write the file' }).click();
      await out.getByRole('alert').getByText(/would be guessed/).waitFor();
      await see(page, 'passphrase-refused');
      await out.getByRole('button', { name: 'Propose six words' }).click();
      await eventually(async () => assert.match(await words.inputValue(), /^[a-z]+( [a-z]+){5}$/));
      await see(page, 'passphrase-proposed');
      await page.keyboard.press('Escape');

      await follow(page.getByRole('link', { name: /^Drops/ }));
      await page.getByRole('button', { name: /^Add a drop/ }).click();
      const add = sheet(page, 'A new drop');
      await add.getByRole('radio', { name: 'WebDAV' }).check();
      await add.getByRole('textbox', { name: /^Address/ }).fill('http://store.example/tern');
      await add.getByRole('textbox', { name: /^User/ }).fill('nell');
      await add.getByLabel(/^Password/).fill('a word');
      await add.getByRole('button', { name: 'Add it', exact: true }).click();
      await add.getByRole('alert').getByText(/can take what lets this device in/).waitFor();
      await see(page, 'drop-in-the-open');
      await add.getByRole('button', { name: 'Add it over http:// all the same' }).click();
      await page.getByText(/over http:\/\/, where its password can be read on the way/).waitFor();

      await go(page, 'Keepers');
      await follow(page.getByRole('link', { name: /^Devices, and a lost phone/ }));
      await page.getByRole('button', { name: /^Lost, sold, stolen/ }).first().click();
      const lost = page.getByRole('dialog');
      await lost.getByRole('textbox', { name: /^Why/ }).fill('Left in the train');
      await lost.getByRole('button', { name: 'Meet it no more' }).click();
      await page.getByText(/may have known the password of the drop/).waitFor();
      await see(page, 'passwords-it-knew');
    });
  });
});
