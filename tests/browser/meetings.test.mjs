// Meetings in a browser: two served devices pair through their pages, see each other's words at once, and one is revoked; digits
// that differ; roads and their refusals. At a phone's size and a wide one; axe finds nothing. What the drawn QR code holds is
// read by another program. The two meet over this machine's own addresses; no page asks anything of a network.
import assert from 'node:assert/strict';
import { execFile } from 'node:child_process';
import { mkdir, readdir, readFile } from 'node:fs/promises';
import { join } from 'node:path';
import { after, before, describe, test } from 'node:test';
import { promisify } from 'node:util';
import { HOUSE, SHOTS, shot } from './browser.mjs';
import { garage, served, witnessmark } from './garage.mjs';
import { digits, joinBy, note, see, tells, ticketOf } from './keepers.mjs';
import { carryIn, carryOut, eventually, follow, go, mark, sheet } from './screens.mjs';

const run = promisify(execFile);
const PYTHON = process.env['WITNESSMARK_PYTHON'] ?? join(HOUSE, 'target/venv/bin/python');

/** As long as a meeting may take on a machine that is busy with other things. */
const MEETS = 60_000;
/** And until all its photos are across as well, each of which is looked at where it comes. */
const PHOTOS = 180_000;

let demo;
before(async () => {
  demo = await garage();
});
after(() => demo?.close());

for (const size of ['phone', 'wide']) {
  describe(`at the size of a ${size}`, () => {
    test('two devices pair through their pages, see each other live, and one is met no more', async () => {
      const empty = join(demo.folder, `joins-${size}`);
      await mkdir(empty);
      await demo.at(`shows-${size}`, 'child', size, async (nell) => {
        await served(empty, `joins-${size}`, size, async (jonna) => {
          // A ticket as QR code and as text, and they say the same.
          const ticket = await ticketOf(nell);
          assert.match(ticket, /^wm1-/);
          const left = nell.getByRole('timer', { name: 'Time left' });
          assert.match(await left.innerText(), /^(2:00|1:\d\d) left.*3 wrong tries/);
          await eventually(async () => assert.match(await left.innerText(), /^1:\d\d left/));
          const code = nell.getByRole('img', { name: 'The ticket as a QR code' });
          for (const theme of ['light', 'dark']) {
            await nell.emulateMedia({ colorScheme: theme });
            await mkdir(SHOTS, { recursive: true });
            const picture = join(SHOTS, `${size}-qr-${theme}.png`);
            await code.screenshot({ path: picture });
            const { stdout } = await run(PYTHON, [join(HOUSE, 'tests/oracles/qr.py'), picture], { timeout: 60_000 });
            assert.equal(stdout.trim().toLowerCase(), ticket.toLowerCase(), `the code in the ${theme} theme holds the text`);
          }
          await see(nell, `${size}-pair-ticket`);

          // What is no ticket is refused in words, and what was typed stays.
          await joinBy(jonna, 'wm1-nonsense', 'Jonna Ashdown', 'phone');
          await jonna.getByRole('alert').getByText(/ticket/).waitFor();
          assert.equal(await jonna.getByRole('textbox', { name: 'The ticket', exact: true }).inputValue(), 'wm1-nonsense');
          await see(jonna, `${size}-join-refused`);
          // As out of a message: broken over lines.
          await joinBy(jonna, `${ticket.slice(0, 20)}\n ${ticket.slice(20)}`, 'Jonna Ashdown', 'phone');

          const both = [await digits(nell), await digits(jonna)];
          assert.match(both[0], /^\d{4} \d{4} \d{4}$/);
          assert.equal(both[0], both[1], 'the same digits on both');
          await see(nell, `${size}-pair-digits`);
          await see(jonna, `${size}-join-digits`);
          await jonna.getByRole('button', { name: 'They are the same' }).click();
          await jonna.getByText('The other keeper has to say so too').waitFor();
          await nell.getByRole('button', { name: 'They are the same' }).click();
          await nell.getByText('Paired with Jonna Ashdown').waitFor();
          await see(nell, `${size}-pair-done`);

          // The newcomer lands where it can be seen coming.
          await jonna.getByRole('heading', { level: 1, name: 'Keepers' }).waitFor();
          await jonna.getByRole('button', { name: /^Cars: Aunt Dilys's Tern/ }).waitFor();
          await eventually(async () => assert.match(await tells(nell, 'Jonna Ashdown'), /phone\s+here since \d\d:\d\d · both hold the same/), PHOTOS);
          await eventually(async () => assert.match(await tells(jonna, 'Nell Ashdown'), /here since \d\d:\d\d · both hold the same/), MEETS);
          await eventually(async () => assert.equal(await mark(nell), await mark(jonna), 'equal marks'));
          await eventually(async () => assert.match(await tells(jonna, 'Jonna Ashdown'), /this device/));
          await see(nell, `${size}-keepers-here`);
          await see(jonna, `${size}-keepers-newcomer`);
          await nell.getByRole('link', { name: /^With Jonna’s phone since \d\d:\d\d/ }).waitFor();

          // Each sees the other's words without asking for them.
          await go(jonna, 'Day');
          await note(nell, 'Kingpin bush reamed by hand.');
          await jonna.getByRole('region', { name: 'Nell Ashdown' }).getByText('Kingpin bush reamed by hand.').waitFor();
          await note(jonna, 'Read it in the train.');
          await nell.getByRole('region', { name: 'Jonna Ashdown' }).getByText('Read it in the train.').waitFor();
          await shot(nell, `${size}-day-live`);
          await nell.getByRole('link', { name: /^With Jonna’s phone since/ }).waitFor();

          await go(nell, 'Keepers');
          await nell.getByRole('button', { name: 'Meet now' }).click();
          await nell.getByRole('status').filter({ hasText: 'Looking for them now.' }).first().waitFor();

          // Lost: said on one, and neither meets the other any more.
          await follow(nell.getByRole('link', { name: /^Devices, and a lost phone/ }));
          await nell.getByRole('heading', { level: 1, name: 'Devices' }).waitFor();
          await nell.getByText('known by its key').first().waitFor();
          await see(nell, `${size}-devices`);
          await nell.getByRole('button', { name: 'Lost, sold, stolen Jonna’s phone' }).click();
          const lost = sheet(nell, 'Jonna’s phone: met no more');
          await lost.getByText(/stays on it: nothing can be rubbed out from here/).waitFor();
          await lost.getByRole('button', { name: 'Meet it no more' }).click();
          await lost.getByRole('alert').getByText(/Say why/).waitFor();
          await see(nell, `${size}-revoke`);
          await lost.getByRole('textbox', { name: /^Why/ }).fill('Left in the train');
          await lost.getByRole('button', { name: 'Meet it no more' }).click();
          await nell.getByRole('region', { name: /^Met no more/ }).getByText('Left in the train').waitFor();
          await see(nell, `${size}-revoked`);
          await eventually(async () => assert.match(await tells(nell, 'Jonna Ashdown'), /met no more: Left in the train/));
          await eventually(async () => assert.doesNotMatch(await tells(jonna, 'Nell Ashdown'), /here since/), MEETS);
          await note(nell, 'Not for the lost phone.');
          await nell.getByRole('link', { name: /^(On this (phone|device) only: \d+ entr|Another device)/ }).waitFor();
          await shot(jonna, `${size}-keepers-lost`);
        });
      });
      const digests = [await witnessmark('digest', '--at', join(demo.folder, `shows-${size}`)), await witnessmark('digest', '--at', empty)];
      assert.notDeepEqual(digests[0], digests[1], 'what was written later did not reach the lost device');
    });

    test('digits that differ: both are told, and nothing is entered', async () => {
      const empty = join(demo.folder, `differs-${size}`);
      await mkdir(empty);
      await demo.at(`differed-${size}`, 'child', size, async (nell) => {
        await served(empty, `differs-${size}`, size, async (other) => {
          await joinBy(other, await ticketOf(nell), 'Somebody', 'laptop');
          await digits(nell);
          await digits(other);
          await nell.getByRole('button', { name: 'They differ' }).click();
          await nell.getByRole('alert').getByText(/digits differ/).waitFor();
          await other.getByRole('alert').getByText(/digits differ/).waitFor();
          await see(other, `${size}-join-differs`);
          await other.getByRole('button', { name: 'Try again' }).click();
          await other.getByRole('textbox', { name: 'The ticket', exact: true }).waitFor();
          await other.getByRole('heading', { name: 'Start a car' }).waitFor();
          await go(nell, 'Keepers');
          await nell.getByRole('heading', { name: /^Wilf Ashdown/ }).waitFor();
          assert.equal(await nell.getByRole('heading', { name: /^Somebody/ }).count(), 0);
        });
      });
      assert.deepEqual(await witnessmark('call', 'records', '{}', '--at', empty), []);
    });

    test('the roads of this device: off and on, a relay that is none, and every button answers', async () => {
      await demo.at(`roads-${size}`, 'child', size, async (page) => {
        const roads = async () => {
          await go(page, 'Keepers');
          await follow(page.getByRole('link', { name: /^How this device meets/ }));
          await page.getByRole('heading', { level: 1, name: 'How this device meets' }).waitFor();
        };
        await roads();
        await page.getByText(/A relay sees .* never what/).waitFor();
        await see(page, `${size}-roads`);
        await page.getByRole('textbox', { name: /^A relay of your own/ }).fill('my shed');
        await page.getByRole('button', { name: 'Keep the relay' }).click();
        await page.getByRole('alert').getByText(/'my shed' is not the https address of a relay/).waitFor();
        assert.equal(await page.getByRole('textbox', { name: /^A relay of your own/ }).inputValue(), 'my shed');
        await page.getByRole('textbox', { name: /^A relay of your own/ }).fill('https://relay.example');
        await page.getByRole('button', { name: 'Keep the relay' }).click();
        await page.getByRole('status').filter({ hasText: 'The relay is kept.' }).first().waitFor();
        await page.getByRole('radio', { name: 'those I ask for' }).check();
        await page.getByRole('status').filter({ hasText: 'Only photos that are asked for come.' }).first().waitFor();
        await page.getByRole('radio', { name: /^only one that is free/ }).check();
        await page.getByRole('status').filter({ hasText: 'Photos wait for a connection that is free.' }).first().waitFor();
        await page.getByRole('radio', { name: 'meets nobody but by file' }).check();
        await page.getByRole('status').filter({ hasText: 'Meetings are off.' }).first().waitFor();
        await go(page, 'Keepers');
        // Nobody can be met: that is said, with what turns it on, and no button is there to be pressed in vain.
        await page.getByText(/^Meetings are off on this device/).waitFor();
        await page.getByText(/^Nobody can be met yet: the other device is known by carry file only/).waitFor();
        assert.equal(await page.getByRole('button', { name: 'Meet now' }).count(), 0);
        await see(page, `${size}-meetings-off`);
        await page.reload();
        await roads();
        await eventually(async () => assert.ok(await page.getByRole('radio', { name: 'meets nobody but by file' }).isChecked()));
        for (const name of ['those I ask for', /^only one that is free/]) assert.ok(await page.getByRole('radio', { name }).isChecked());
        assert.equal(await page.getByRole('textbox', { name: /^A relay of your own/ }).inputValue(), 'https://relay.example');
        await go(page, 'Keepers');
        await page.getByRole('button', { name: 'Turn meetings on' }).click();
        await page.getByRole('status').filter({ hasText: 'Meetings are on.' }).first().waitFor();
        await roads();
        await eventually(async () => assert.ok(await page.getByRole('radio', { name: 'meets the others by itself' }).isChecked()));
        await go(page, 'Keepers');
        await page.getByText(/^Nobody can be met yet/).waitFor();
        assert.equal(await page.getByText(/^Meetings are off/).count(), 0);
        assert.equal(await page.getByRole('button', { name: 'Meet now' }).count(), 0);
      });
    });

    test('carried by a file: sealed to a passphrase for a newcomer, then to the members; what is sealed stays shut', async () => {
      const empty = join(demo.folder, `carries-${size}`);
      const host = await demo.copy(`carried-${size}`, 'child');
      await mkdir(empty);
      const words = 'a lathe, a kettle and rain';
      const files = (name) => join(demo.folder, `${name}-${size}.carry`);
      await served(host, `carried-${size}`, size, async (nell) => {
        const whole = await carryOut(nell, /^Carry out everything/, files('whole'), { passphrase: words }, async (form) => {
          await see(nell, `${size}-carry-out`);
          await form.getByRole('radio', { name: 'whoever finds it' }).check();
          await form.getByText(/^Whoever finds this file can read all/).waitFor();
          await see(nell, `${size}-carry-out-open`);
          await form.getByRole('radio', { name: 'whoever knows a passphrase' }).check();
        });
        await nell.getByText(/^Whoever knows the passphrase can read this file/).waitFor();
        await see(nell, `${size}-carried-out`);
        const bytes = (await readFile(whole)).toString('latin1');
        for (const plain of ['Nell Ashdown', 'Layshaft', "Dilys's Tern"]) assert.ok(!bytes.includes(plain), `'${plain}' can be read in the file`);

        await served(empty, `carries-${size}`, size, async (jonna) => {
          await jonna.getByRole('textbox', { name: 'Your name' }).fill('Jonna Ashdown');
          await jonna.getByRole('textbox', { name: /^What you call this device/ }).fill('phone');
          await jonna.getByLabel('The carry file').setInputFiles(whole);
          await jonna.getByRole('button', { name: 'Join the record' }).click();
          await jonna.getByRole('alert').getByText(/sealed to a passphrase/).waitFor();
          const passphrase = jonna.getByRole('textbox', { name: /^Passphrase/ });
          await passphrase.fill('a lathe and a dog');
          await jonna.getByRole('button', { name: 'Join the record' }).click();
          await jonna.getByRole('alert').getByText(/passphrase/).filter({ hasNotText: 'ask the keeper' }).waitFor();
          await see(jonna, `${size}-join-sealed`);
          await passphrase.fill(words);
          await jonna.getByRole('button', { name: 'Join the record' }).click();
          await jonna.getByRole('button', { name: /^Cars: Aunt Dilys's Tern/ }).waitFor();

          // Hers back: nobody's seal but her own and Nell's is known, so a passphrase once more; it is asked for.
          const hers = await carryOut(jonna, /^Carry out for Nell Ashdown/, files('hers'), { passphrase: words });
          await go(nell, 'Keepers');
          await nell.getByLabel('Carry in a file').setInputFiles(hers);
          await nell.getByText(/is sealed to a passphrase/).waitFor();
          await nell.getByRole('textbox', { name: 'Passphrase' }).fill('something else');
          await nell.getByRole('button', { name: 'Open it and carry it in' }).click();
          await nell.getByRole('alert').getByText(/passphrase/).waitFor();
          await see(nell, `${size}-carry-in-shut`);
          assert.match(await carryIn(nell, hers, { passphrase: words, newcomer: /'phone' of Jonna Ashdown/ }), /Jonna Ashdown brought \d+ entr/);
          // Now she is a member by key and seal: a file for her is sealed to her, by itself.
          const sealed = await carryOut(nell, /^Carry out for Jonna Ashdown/, files('sealed'), {}, async (form) => {
            assert.ok(await form.getByRole('radio', { name: 'only the record’s devices' }).isChecked());
          });
          await nell.getByText(/can read this file/).waitFor();
          await carryIn(jonna, sealed);
          // A device that it is not sealed to cannot open it.
          await demo.at(`outside-${size}`, 'parent', size, async (wilf) => {
            await go(wilf, 'Keepers');
            await wilf.getByLabel('Carry in a file').setInputFiles(sealed);
            await wilf.getByRole('alert').getByText(/not sealed|not for this/i).waitFor();
          });
        });
      });
    });

    test('through a folder that both can write: added, looked into, and nothing readable lies there', async () => {
      const [host, other] = [await demo.copy(`drops-${size}`, 'child'), join(demo.folder, `drops-new-${size}`)];
      const place = join(demo.folder, `stick-${size}`);
      await mkdir(place);
      await mkdir(other);
      // They know each other by a file, and never meet but through the folder.
      const whole = join(demo.folder, `drops-whole-${size}.carry`);
      const back = join(demo.folder, `drops-back-${size}.carry`);
      const passphrase = 'a lathe, a kettle and rain';
      const call = (folder, name, args) => witnessmark('call', name, JSON.stringify(args), '--at', folder);
      await call(host, 'carry_out', { file: whole, passphrase });
      await call(other, 'join_record', { file: whole, passphrase, keeper: 'Jonna Ashdown', device_name: 'phone' });
      await call(other, 'carry_out', { file: back, passphrase });
      await call(host, 'carry_in', { file: back, passphrase, welcome: true });
      for (const folder of [host, other]) await witnessmark('call', 'live', JSON.stringify({ on: false }), '--at', folder);

      /** Adds the folder on the Drops page. */
      const add = async (page, look = async () => {}) => {
        await go(page, 'Keepers');
        await follow(page.getByRole('link', { name: /^Drops/ }));
        await page.getByRole('heading', { level: 1, name: 'Drops' }).waitFor();
        await page.getByText(/Nothing readable lies there/).waitFor();
        await page.getByRole('button', { name: 'Add a drop' }).click();
        const form = sheet(page, 'A new drop');
        await form.getByRole('button', { name: 'Add it' }).click();
        await form.getByRole('alert').getByText(/Still wanted: the folder/).waitFor();
        await form.getByRole('textbox', { name: /^The folder/ }).fill(place);
        await form.getByRole('textbox', { name: /^What you call it/ }).fill('The stick');
        await look(form);
        await form.getByRole('button', { name: 'Add it' }).click();
        await page.getByRole('region', { name: 'The stick' }).waitFor();
      };
      /** Looks into it now; what it says then. */
      const lookInto = async (page, says) => {
        const stick = page.getByRole('region', { name: 'The stick' });
        await eventually(async () => assert.ok(await stick.getByRole('button', { name: /^Look now/ }).isEnabled()), MEETS);
        await stick.getByRole('button', { name: /^Look now/ }).click();
        await eventually(async () => assert.match(await stick.innerText(), says), MEETS);
      };
      await served(host, `drops-${size}`, size, async (nell) => {
        await served(other, `drops-new-${size}`, size, async (jonna) => {
          await add(nell, async () => see(nell, `${size}-drop-add`));
          await note(nell, 'Left on the stick for you.');
          await go(nell, 'Keepers');
          await follow(nell.getByRole('link', { name: /^Drops/ }));
          await nell.getByRole('button', { name: /^How much would it be/ }).click();
          await eventually(async () => assert.match(await nell.getByRole('status', { name: 'What the next look would do' }).innerText(), /It would leave \d+ file/), MEETS);
          await see(nell, `${size}-drop-ahead`);
          await lookInto(nell, /Last looked into .* (lie there in all|lay there before that)/s);
          await see(nell, `${size}-drop-looked`);
          await add(jonna);
          await lookInto(jonna, /Last looked into .* (lie there in all|lay there before that)/s);
          await go(jonna, 'Day');
          await jonna.getByRole('region', { name: 'Nell Ashdown' }).getByText('Left on the stick for you.').waitFor();
          // Nothing in it can be read, names included. Words of seven letters and more: among megabytes that look random, four
          // letters in a row stand there by chance once in a few hundred runs ('Tern' did), seven once in a hundred thousand million.
          const all = (await readdir(place, { recursive: true, withFileTypes: true })).filter((one) => one.isFile());
          assert.ok(all.length > 0, 'the folder holds something');
          for (const one of all) {
            const text = `${one.name} ${(await readFile(join(one.parentPath ?? one.path, one.name))).toString('latin1')}`;
            for (const plain of ['Left on the stick', 'Nell Ashdown', 'Ashdown', 'Layshaft', "Dilys's Tern"]) assert.ok(!text.includes(plain), `'${plain}' can be read in ${one.name}`);
          }
          await go(nell, 'Keepers');
          await follow(nell.getByRole('link', { name: /^Drops/ }));
          await nell.getByRole('button', { name: 'Remove The stick' }).click();
          await nell.getByRole('button', { name: /^Yes, look into it no more/ }).click();
          await nell.getByText(/^No drop yet/).waitFor();
          await go(nell, 'Keepers');
          await follow(nell.getByRole('link', { name: /^Set aside/ }));
          await nell.getByText('Nothing was set aside.').waitFor();
          await see(nell, `${size}-aside`);
        });
      });
    });
  });
}
