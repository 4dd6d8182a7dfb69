// The pages of the Keepers place on a small phone with gloves on, in both themes; and what each says when the program under it
// stops answering: words, a way back, and what was typed still there.
import assert from 'node:assert/strict';
import { mkdir } from 'node:fs/promises';
import { join } from 'node:path';
import { after, before, describe, test } from 'node:test';
import { shot } from './browser.mjs';
import { garage, serve, served, wholeOf, witnessmark } from './garage.mjs';
import { see } from './keepers.mjs';
import { clean, eventually, fits, follow, go, sheet, targets } from './screens.mjs';

/** 20 mm on a phone, whose pixel is about 1/160 in: as the pages' own measure says. */
const GLOVE = 112;

let demo;
before(async () => {
  demo = await garage();
});
after(() => demo?.close());

const call = (folder, name, args) => witnessmark('call', name, JSON.stringify(args), '--at', folder);

/** A copy of the child's device that knows a drop, and a lost phone of which something was set aside; a newcomer's file. */
async function muchMet(name) {
  const at = await demo.copy(name, 'child');
  const [lost, stick, whole, back, late, fresh] = ['lost', 'stick', 'whole', 'back', 'late', 'fresh'].map((one) => join(demo.folder, `${name}-${one}`));
  for (const folder of [lost, stick, fresh]) await mkdir(folder);
  await wholeOf(at, whole);
  await call(lost, 'join_record', { file: whole, keeper: 'Jonna Featherstonehaugh-Ashdown', device_name: 'the old telephone from the kitchen drawer' });
  await wholeOf(lost, back);
  const { devices } = await call(at, 'carry_in', { file: back, welcome: true }).then(() => call(at, 'meetings', {}));
  const gone = devices.find((one) => one.name.startsWith('the old telephone'));
  await call(at, 'revoke', { device: gone.device, why: 'Sold with the drawer' });
  await call(lost, 'note', { day: '2025-11-06', text: 'Written by whoever bought it.' });
  await wholeOf(lost, late);
  await call(at, 'carry_in', { file: late });
  await call(at, 'drop_add', { place: { folder: { path: stick } }, photos: true, name: 'The stick on the key ring' });
  await call(fresh, 'join_record', { file: whole, keeper: 'Jonna Ashdown', device_name: 'phone' });
  const newcomer = join(demo.folder, `${name}-newcomer.carry`);
  await wholeOf(fresh, newcomer);
  return { at, newcomer };
}

describe('the Keepers pages, roughly handled', () => {
  test('360 pixels wide, gloves on: every page and sheet fits, in both themes, with targets of 20 mm', async () => {
    const { at, newcomer } = await muchMet('gloved');
    await served(at, 'gloved', 'narrow', async (page) => {
      const look = async (name) => {
        for (const colorScheme of ['light', 'dark']) {
          await page.emulateMedia({ colorScheme });
          await shot(page, `gloves-${name}-${colorScheme}`);
        }
        await fits(page, name);
        await targets(page, GLOVE);
        await clean(page, name);
      };
      const way = async (name) => {
        await page.getByRole('button', { name: /all places$/ }).click();
        await follow(sheet(page, 'Places').getByRole('link', { name: 'Keepers' }));
        await follow(page.getByRole('link', { name }));
        await page.getByRole('heading', { level: 1 }).waitFor();
      };
      // On by one tap, and off.
      const gloves = page.getByRole('button', { name: 'Gloves', exact: true });
      await gloves.click();
      await page.getByRole('button', { name: /all places$/ }).waitFor();
      await gloves.click();
      await page.getByRole('button', { name: /all places$/ }).waitFor({ state: 'hidden' });
      await gloves.click();

      await way('Pair a device');
      await look('pair');
      await page.getByRole('button', { name: 'Show a ticket' }).click();
      await page.getByRole('img', { name: 'The ticket as a QR code' }).waitFor();
      await look('ticket');
      await page.getByRole('button', { name: 'Stop' }).click();
      await page.getByRole('button', { name: 'Read digits out instead' }).click();
      await page.getByRole('status', { name: 'Digits to read out' }).waitFor();
      await look('digits');
      await page.getByRole('button', { name: 'Stop' }).click();

      await way(/^Devices/);
      await page.getByRole('region', { name: /^Met no more/ }).getByText('Sold with the drawer').waitFor();
      await look('devices');
      await page.getByRole('button', { name: /^Lost, sold, stolen/ }).first().click();
      await sheet(page, /met no more$/).waitFor();
      await look('revoke');
      await sheet(page, /met no more$/).getByRole('button', { name: 'Leave it' }).click();

      await way(/^Drops/);
      const stick = page.getByRole('region', { name: 'The stick on the key ring' });
      const lookNow = stick.getByRole('button', { name: /^Look now/ });
      await eventually(async () => assert.ok(await lookNow.isEnabled()), 60_000);
      await lookNow.click();
      await eventually(async () => assert.match(await stick.innerText(), /lie there in all|lay there before that/), 60_000);
      await stick.getByRole('button', { name: /^Remove/ }).click();
      await look('drops');
      await stick.getByRole('button', { name: 'Keep it' }).click();
      await page.getByRole('button', { name: 'Add a drop' }).click();
      await sheet(page, 'A new drop').getByRole('radio', { name: /bucket/ }).check();
      await look('drop-add');
      await sheet(page, 'A new drop').getByRole('button', { name: 'Leave it' }).click();

      await way(/^Set aside/);
      await page.getByText(/not in the record\.$/).last().waitFor();
      await look('aside');
      await way(/^How this device meets/);
      await page.getByText(/A relay sees .* never what/).waitFor();
      await look('roads');

      await follow(page.getByRole('link', { name: '‹ Keepers' }));
      await page.getByRole('region', { name: 'Who' }).waitFor();
      await look('keepers');
      await page.getByRole('button', { name: /^Carry out everything/ }).click();
      const out = sheet(page, 'Carry out everything');
      await out.getByText(/^It would hold/).waitFor();
      await look('carry-out');
      await out.getByRole('textbox', { name: /^Passphrase/ }).fill('a lathe and rain');
      await out.getByRole('button', { name: 'Write the file' }).click();
      await page.getByRole('link', { name: /^Take the file/ }).waitFor();
      await page.getByLabel('Carry in a file').setInputFiles(newcomer);
      await page.getByRole('group', { name: 'Who wrote this file?' }).scrollIntoViewIfNeeded();
      await look('carry');
    });
  });

  test('the program stands still, and then is gone: words, a way back, and what was typed stays', async () => {
    const { at, newcomer } = await muchMet('pulled');
    await served(at, 'pulled', 'phone', async (page, _, device) => {
      const wait = page.getByText(/^No answer from the notebook yet/);
      const no = { name: 'Wait no longer' };
      const way = async (name) => {
        await go(page, 'Keepers');
        await follow(page.getByRole('link', { name }));
        await page.getByRole('heading', { level: 1 }).waitFor();
      };

      // A ticket is shown, and the program stands still: said, left, and there again when it goes on.
      await way('Pair a device');
      await page.getByRole('button', { name: 'Show a ticket' }).click();
      await page.getByRole('img', { name: 'The ticket as a QR code' }).waitFor();
      device.hold();
      await wait.waitFor();
      await see(page, 'still-ticket');
      await page.getByRole('button', no).click();
      await page.getByRole('alert').getByText(/^The notebook does not answer, so how the pairing stands/).waitFor();
      await see(page, 'still-pairing');
      device.goOn();
      await page.getByRole('img', { name: 'The ticket as a QR code' }).waitFor();
      await page.getByRole('button', { name: 'Stop' }).click();

      // In a sheet: the way back is in the sheet, and what was typed too.
      await way(/^Drops/);
      await page.getByRole('button', { name: 'Add a drop' }).click();
      const add = sheet(page, 'A new drop');
      await add.getByRole('textbox', { name: /^The folder/ }).fill('/media/shed');
      device.hold();
      await add.getByRole('button', { name: 'Add it' }).click();
      await add.getByText(/^No answer from the notebook yet/).waitFor();
      await see(page, 'still-sheet');
      await add.getByRole('button', no).click();
      await add.getByRole('alert').getByText(/^The notebook did not answer/).waitFor();
      assert.equal(await add.getByRole('textbox', { name: /^The folder/ }).inputValue(), '/media/shed');
      device.goOn();
      await add.getByRole('button', { name: 'Leave it' }).click();

      // A choice that was not kept is let go again.
      await way(/^How this device meets/);
      const off = page.getByRole('radio', { name: 'meets nobody but by file' });
      await page.getByRole('radio', { name: 'meets the others by itself' }).waitFor();
      device.hold();
      await off.check();
      await wait.waitFor();
      await page.getByRole('button', no).click();
      await page.getByRole('alert').getByText(/^The notebook did not answer/).waitFor();
      await eventually(async () => assert.ok(await page.getByRole('radio', { name: 'meets the others by itself' }).isChecked()));
      // The program had it in hand, and did it after all: the page says how it stands.
      device.goOn();
      await eventually(async () => assert.ok(await off.isChecked()));

      // Gone. Each page that was open, each sheet that was filled in.
      await way(/^Devices/);
      await page.getByRole('button', { name: /^Lost, sold, stolen/ }).first().click();
      const lost = sheet(page, /met no more$/);
      await lost.getByRole('textbox', { name: /^Why/ }).fill('Left on the bonnet');
      await device.pull();
      await lost.getByRole('button', { name: 'Meet it no more' }).click();
      await lost.getByRole('alert').getByText(/^The notebook does not answer/).waitFor();
      assert.equal(await lost.getByRole('textbox', { name: /^Why/ }).inputValue(), 'Left on the bonnet');
      await see(page, 'gone-revoke');
      await lost.getByRole('button', { name: 'Leave it' }).click();
      await page.getByText(/what is shown may be old/).waitFor();
      for (const [name, title] of [
        ['Pair a device', 'pair'],
        [/^Devices/, 'devices'],
        [/^Drops/, 'drops'],
        [/^Set aside/, 'aside'],
        [/^How this device meets/, 'roads'],
      ]) {
        await way(name);
        if (title === 'pair') await page.getByRole('button', { name: 'Show a ticket' }).click();
        await page.getByRole('alert').getByText(/^The notebook does not answer/).waitFor();
        await shot(page, `gone-${title}`);
        await fits(page, title);
      }
      await go(page, 'Keepers');
      await page.getByLabel('Carry in a file').setInputFiles(newcomer);
      const again = page.getByRole('button', { name: /^Carry .*newcomer\.carry in again/ });
      await again.waitFor();
      await page.getByRole('button', { name: /^Carry out everything/ }).click();
      const out = sheet(page, 'Carry out everything');
      await out.getByText('How large it would be cannot be told now.').waitFor();
      await out.getByRole('textbox', { name: /^Passphrase/ }).fill('a lathe and rain');
      await out.getByRole('button', { name: 'Write the file' }).click();
      await out.getByRole('alert').getByText(/^The notebook does not answer/).waitFor();
      assert.equal(await out.getByRole('textbox', { name: /^Passphrase/ }).inputValue(), 'a lathe and rain');
      await shot(page, 'gone-carry-out');
      await out.getByRole('button', { name: 'Leave it' }).click();
      await again.scrollIntoViewIfNeeded();
      await see(page, 'gone-keepers');
    });
  });

  test('the program is started again: the page is where it was, and so is what was typed', async () => {
    const at = await demo.copy('again', 'child');
    await served(at, 'again', 'phone', async (page, _, device) => {
      await page.getByRole('button', { name: 'Note' }).click();
      const note = sheet(page, /^Note for/);
      await note.getByRole('textbox', { name: 'Note' }).fill('The third stud turned with its nut.');
      await device.pull();
      await note.getByRole('button', { name: 'Keep the note' }).click();
      await note.getByRole('alert').getByText(/start the program again, and open the address that it prints/).waitFor();
      const again = await serve(at);
      try {
        assert.equal(again.port, device.port);
        // Only the end of the address is another, so that the page itself opens anew, a moment after.
        await Promise.all([page.waitForEvent('load'), page.goto(again.address)]);
        await page.getByRole('button', { name: 'Note' }).click();
        assert.equal(await note.getByRole('textbox', { name: 'Note' }).inputValue(), 'The third stud turned with its nut.');
        await note.getByRole('button', { name: 'Keep the note' }).click();
        await page.getByText('The third stud turned with its nut.').first().waitFor();
      } finally {
        await again.end();
      }
    });
  });

  test('a folder with no car yet says so too', async () => {
    const at = join(demo.folder, 'nobody');
    await mkdir(at);
    await served(at, 'nobody', 'phone', async (page, _, device) => {
      await page.getByRole('heading', { name: 'Start a car' }).waitFor();
      await device.pull();
      await page.getByRole('alert').getByText(/^The notebook does not answer/).waitFor();
      await see(page, 'gone-start');
    });
  });
});
