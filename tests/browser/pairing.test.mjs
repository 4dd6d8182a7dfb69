// Pairing by what two devices can see and hear: a camera reads the code that the other shows; digits are read out. A film stands
// for what the camera sees. The two meet over this machine's own addresses.
import assert from 'node:assert/strict';
import { mkdir } from 'node:fs/promises';
import { join } from 'node:path';
import { after, before, describe, test } from 'node:test';
import { open } from './browser.mjs';
import { emptyBench, filmOf, playing } from './camera.mjs';
import { garage, served } from './garage.mjs';
import { digits, note, see, tells, ticketOf } from './keepers.mjs';
import { picture } from './pictures.mjs';
import { carryOut, eventually, follow, go, sheet } from './screens.mjs';

/** As long as a meeting may take on a machine that is busy with other things. */
const MEETS = 60_000;

let demo;
before(async () => {
  demo = await garage();
});
after(() => demo?.close());

/** Keeps in sight what the page takes of the camera; how its tracks stand. */
async function watchCamera(page) {
  await page.evaluate(() => {
    const ask = navigator.mediaDevices.getUserMedia.bind(navigator.mediaDevices);
    globalThis.taken = [];
    navigator.mediaDevices.getUserMedia = async (wanted) => {
      const stream = await ask(wanted);
      globalThis.taken.push(...stream.getTracks());
      return stream;
    };
  });
  return () => page.evaluate(() => globalThis.taken.map((track) => track.readyState));
}

/** Fills in who joins. */
async function names(page, keeper, device) {
  await page.getByRole('textbox', { name: 'Your name' }).fill(keeper);
  await page.getByRole('textbox', { name: /^What you call this device/ }).fill(device);
}

/** Both keepers say that the digits are the same, and the newcomer has the record. */
async function agree(host, guest) {
  const both = [await digits(host), await digits(guest)];
  assert.match(both[0], /^\d{4} \d{4} \d{4}$/);
  assert.equal(both[0], both[1], 'the same digits on both');
  // Which car, and whose device, before anybody says yes.
  for (const [page, whose] of [[host, /Jonna’s phone|Jonna's phone|Jonna Ashdown's phone/], [guest, /Nell/]]) {
    const about = page.getByRole('region', { name: 'What is paired' });
    await about.getByRole('heading', { name: "Aunt Dilys's Tern" }).waitFor();
    assert.match(await about.innerText(), whose);
  }
  await see(host, 'pairing-about-host');
  await see(guest, 'pairing-about-guest');
  for (const page of [guest, host]) await page.getByRole('button', { name: 'They are the same' }).click();
  await host.getByText(/^Paired with/).waitFor();
  await guest.getByRole('button', { name: /^Cars: Aunt Dilys's Tern/ }).waitFor();
}

describe('pairing by eye and by ear', () => {
  test('the camera: refused, missing, looking on, stopped, and a ticket seen', async () => {
    const empty = join(demo.folder, 'sees');
    const film = join(demo.folder, 'seen.y4m');
    await mkdir(empty);
    await emptyBench(film);
    const read = { name: 'Read the code with the camera' };
    await demo.at('seen', 'child', 'wide', async (nell) => {
      const show = async (jonna, _, device) => {
        // A browser that says no where it would ask.
        const refused = await open(device, 'phone', { flags: playing(film, false) });
        await refused.page.getByRole('button', read).click();
        await refused.page.getByRole('alert').getByText(/^This page is not allowed to use the camera/).waitFor();
        await see(refused.page, 'camera-refused');
        await refused.close();

        // An empty bench: it looks on, says what helps, and the light goes out when it is stopped.
        const camera = await watchCamera(jonna);
        await names(jonna, 'Jonna Ashdown', 'phone');
        await jonna.getByRole('button', read).click();
        const stop = jonna.getByRole('button', { name: 'Stop the camera' });
        await jonna.getByRole('status').getByText('Looking for the ticket’s code…').waitFor();
        const ticket = await ticketOf(nell);
        await jonna.getByRole('status').getByText(/^No ticket seen yet/).waitFor();
        assert.deepEqual(await camera(), ['live']);
        await see(jonna, 'camera-looking');
        await stop.click();
        await jonna.getByRole('button', read).waitFor();
        await eventually(async () => assert.deepEqual(await camera(), ['ended']));

        // Only now: Chromium reads the film anew whenever it comes to its end.
        await filmOf(film, nell.getByRole('img', { name: 'The ticket as a QR code' }));
        // The code comes into sight: what it holds is followed, and both have the same digits.
        await jonna.getByRole('button', read).click();
        await digits(jonna);
        await eventually(async () => assert.deepEqual(await camera(), ['ended', 'ended']));
        await agree(nell, jonna);
        await eventually(async () => assert.match(await tells(jonna, 'Nell Ashdown'), /here since/), MEETS);

        // A device without a camera says so.
        assert.match(ticket, /^wm1-/);
        await nell.getByRole('button', { name: 'Good' }).click();
        await nell.getByRole('button', read).click();
        await nell.getByRole('alert').getByText(/^This device has no camera/).waitFor();
      };
      await served(empty, 'sees', 'phone', show, { flags: playing(film) });
    });
  });

  test('digits read out; then one photo is fetched when it is asked for, and what a lost phone wrote later is set aside', async () => {
    const empty = join(demo.folder, 'hears');
    const late = join(demo.folder, 'late.carry');
    await mkdir(empty);
    await demo.at('heard', 'child', 'phone', async (nell) => {
      await served(empty, 'hears', 'phone', async (jonna) => {
        await go(nell, 'Keepers');
        await follow(nell.getByRole('link', { name: 'Pair a device' }));
        await nell.getByRole('button', { name: 'Read digits out instead' }).click();
        const shown = nell.getByRole('status', { name: 'Digits to read out' });
        await shown.waitFor();
        const said = await shown.innerText();
        assert.match(said, /^\d{4} \d{4}$/);
        await see(nell, 'voice-shown');
        await names(jonna, 'Jonna Ashdown', 'phone');
        await jonna.getByRole('textbox', { name: 'The ticket', exact: true }).fill(said);
        await jonna.getByRole('button', { name: 'Join by the ticket' }).click();
        await jonna.getByText('Looking on this network for the device that shows these digits.').waitFor();
        await agree(nell, jonna);
        await eventually(async () => assert.match(await tells(jonna, 'Nell Ashdown'), /both hold the same/), MEETS);

        // From now on her phone keeps what she asks for. The small picture comes by itself, the photo does not.
        await follow(jonna.getByRole('link', { name: /^How this device meets/ }));
        await jonna.getByRole('radio', { name: 'those I ask for' }).check();
        await jonna.getByRole('status').filter({ hasText: 'Only photos that are asked for come.' }).first().waitFor();
        await go(nell, 'Day');
        await nell.getByLabel('Photo', { exact: true }).setInputFiles({ name: 'bench.png', mimeType: 'image/png', buffer: picture(7, 1200, 900) });
        const shows = sheet(nell, 'What does it show?');
        await shows.getByRole('textbox', { name: 'What is to be seen' }).fill('The burr on the slot');
        await shows.getByRole('button', { name: 'Keep it so' }).click();
        await sheet(nell, 'Anything to go with it?').getByRole('button', { name: 'No, done' }).click();
        await go(jonna, 'Day');
        const hers = jonna.getByRole('region', { name: 'Nell Ashdown' });
        await eventually(async () => assert.match(await hers.innerText(), /Not on this device\. .*Nell's phone has it\./));
        await hers.getByRole('img', { name: 'The burr on the slot' }).waitFor();
        await follow(hers.getByRole('link', { name: /The burr on the slot/ }));
        const fetch = jonna.getByRole('button', { name: 'Fetch it: The burr on the slot' });
        await fetch.waitFor();
        await jonna.getByText(/^Not on this device\. .*Nell's phone has it\. This is a small picture of it\.$/).waitFor();
        await see(jonna, 'photo-not-here');
        await fetch.click();
        await fetch.waitFor({ state: 'hidden' });
        await jonna.getByText(/^Not on this device/).waitFor({ state: 'hidden', timeout: MEETS });
        const shot = jonna.getByRole('img', { name: 'The burr on the slot' });
        // The camera's own picture, which is larger than any small one may be.
        await eventually(async () => assert.ok((await shot.evaluate((one) => one.naturalWidth)) > 480), MEETS);
        await see(jonna, 'photo-fetched');

        // Lost: what it writes after that comes by a file, is told and read, and is not in the record.
        await go(nell, 'Keepers');
        await follow(nell.getByRole('link', { name: /^Devices, and a lost phone/ }));
        await nell.getByRole('button', { name: 'Lost, sold, stolen Jonna’s phone' }).click();
        const lost = sheet(nell, 'Jonna’s phone: met no more');
        await lost.getByRole('textbox', { name: /^Why/ }).fill('Left in the train');
        await lost.getByRole('button', { name: 'Meet it no more' }).click();
        await nell.getByRole('region', { name: /^Met no more/ }).getByText(/let it join anew from an empty folder/).waitFor();
        await eventually(async () => assert.doesNotMatch(await tells(jonna, 'Nell Ashdown'), /here since/), MEETS);
        await note(jonna, 'Found in the train, under the seat.');
        await carryOut(jonna, /^Carry out for Nell Ashdown/, late, { open: true });
        await go(nell, 'Keepers');
        await nell.getByLabel('Carry in a file').setInputFiles(late);
        const file = nell.getByRole('region', { name: 'Meet by a carry file' });
        await eventually(async () => assert.match(await file.innerText(), /is met no more\. (One entry|\d+ entries) that it wrote later (was|were) not taken in: see what was set aside/));
        await see(nell, 'carry-in-aside');
        await follow(nell.getByRole('link', { name: 'see what was set aside' }));
        const aside = nell.getByRole('region', { name: 'Jonna’s phone' });
        await aside.getByText(/^Came by a carry file, .*: (one entry that is|\d+ entries that are) not in the record\.$/).waitFor();
        await aside.getByText(/Found in the train|note/i).first().waitFor();
        await nell.getByText(/let it join anew from an empty folder/).waitFor();
        await see(nell, 'aside-shown');
        await go(nell, 'Day');
        assert.equal(await nell.getByText('Found in the train, under the seat.').count(), 0, 'it is not in the record');
      });
    });
  });
});
