// What one does while the other does otherwise, on a phone: a bolt that another logs under the thumb, a bolt and a hold point that are to be
// settled, a lid that one took off closed and the other closed on the car, a look at a drop that fails.
import assert from 'node:assert/strict';
import { mkdir, mkdtemp, rename, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { after, before, test } from 'node:test';
import { shot } from './browser.mjs';
import { served, wholeOf, witnessmark } from './garage.mjs';
import { clean, fits, follow } from './screens.mjs';

const DAY = '2031-03-01';
const call = (folder, name, args) => witnessmark('call', name, JSON.stringify(args), '--at', folder);
const from = async (one, two, name) => {
  const file = join(dir, name);
  await wholeOf(one, file);
  return call(two, 'carry_in', { file, welcome: true });
};

let dir;
let parent;
let child;
before(async () => {
  dir = await mkdtemp(join(tmpdir(), 'witnessmark-apart-'));
  [parent, child] = ['parent', 'child'].map((one) => join(dir, one));
  await call(parent, 'start_record', { car: 'Tern', keeper: 'Rosalind' });
  const file = join(dir, 'first');
  await wholeOf(parent, file);
  await call(child, 'join_record', { file, keeper: 'Wilf', device_name: 'phone' });
  await from(child, parent, 'back');
});
after(() => rm(dir, { recursive: true, force: true }));

const add = async (name, args) => (await call(parent, name, args)).id;
const run = (assembly) => add('add_tightening_run', { what: 'Carrier nuts', assembly, layout: 'circle', bolts: 4, torque: '54 Nm', conditions: 'threads oiled', on: DAY });
const turn = async (folder, id) => {
  const { next } = await call(folder, 'tightening_run', { id });
  await call(folder, 'tighten', { run: id, pass: next.pass, place: next.place, on: DAY });
};
const at = (device, hash) => `${new URL(device.address).origin}/?token=${device.token}${hash}`;

test('a bolt that another logs under the thumb is told, and the tap that was meant for it logs no other', { timeout: 120_000 }, async () => {
  const diff = await add('add_assembly', { name: 'Differential' });
  const nuts = await run(diff);
  await served(parent, 'apart-live', 'phone', async (page, _, device) => {
    await page.goto(at(device, `#/car/tightening_run:${nuts}`));
    const tight = page.getByRole('button', { name: /^Tight bolt/ });
    await tight.waitFor();
    const bolt = async () => /bolt (\d)/.exec(await tight.textContent())[1];
    const log = async () => (await page.evaluate(
      async ([id, token]) => (await (await fetch('call', { method: 'POST', headers: { 'X-Witnessmark-Token': token }, body: JSON.stringify({ name: 'tightening_run', args: { id } }) })).json()),
      [nuts, device.token],
    ));
    const done = async () => JSON.stringify(await log()).match(/"done":(\d+)/)[1];
    // One's own taps are no news.
    const first = await bolt();
    await tight.click();
    await page.getByRole('status').filter({ hasText: `Bolt ${first} is tight.` }).waitFor();
    await page.waitForTimeout(900);
    assert.equal(await page.getByRole('alert').count(), 0);
    const [second, answer] = [await bolt(), await log()];
    const next = JSON.stringify(answer).match(/"next":\{"pass":(\d+),"place":(\d+)/);
    assert.equal(next[2], second);
    await page.evaluate(
      ([args, token]) => fetch('call', { method: 'POST', headers: { 'X-Witnessmark-Token': token }, body: JSON.stringify({ name: 'tighten', args }) }),
      [{ run: nuts, pass: Number(next[1]), place: Number(next[2]), on: DAY }, device.token],
    );
    await page.getByRole('alert').getByText(`Bolt ${second} was logged by Rosalind`).waitFor();
    await fits(page, 'a bolt that was logged elsewhere');
    await clean(page, 'a bolt that was logged elsewhere');
    await shot(page, 'phone-bolt-logged-elsewhere');
    assert.equal(await done(), '2');
    await page.getByRole('button', { name: /^Go on with bolt/ }).click();
    await tight.waitFor();
    assert.equal(await done(), '2', 'the tap that was meant for the bolt before logs none');
    await page.waitForTimeout(900);
    await tight.click();
    await page.getByRole('status').filter({ hasText: /Bolt \d is tight/ }).waitFor();
    assert.equal(await done(), '3');
  });
});

test('what is to be settled is drawn as disputed, and both are named', { timeout: 180_000 }, async () => {
  const box = await add('add_assembly', { name: 'Gearbox' });
  const nuts = await run(box);
  const hold = await add('add_hold_point', { what: 'Thrust washer is in', assembly: box, how: 'seen' });
  const lid = await add('add_assembly', { name: 'Timing cover' });
  await call(parent, 'close_up', { assembly: lid, waive: [] });
  await turn(parent, nuts);
  await from(parent, child, 'one');
  // Apart: one tightens and looks, the other takes it off; one takes the lid off closed, the other opens and closes it on the car.
  await turn(parent, nuts);
  await call(parent, 'change_hold_point', { id: hold, fields: { state: 'met', met_how: 'with the torch', on: DAY } });
  await call(parent, 'change_assembly', { id: lid, fields: { off_car: true } });
  for (const state of ['off', 'fitted']) await call(child, 'change_assembly', { id: box, fields: { state } });
  await call(child, 'change_assembly', { id: lid, fields: { state: 'fitted' } });
  await call(child, 'close_up', { assembly: lid, waive: [] });
  await from(child, parent, 'two');
  await served(parent, 'apart-disputed', 'phone', async (page, _, device) => {
    const see = async (name) => {
      await fits(page, name);
      await clean(page, name);
      await shot(page, `phone-${name}`);
    };
    await page.goto(at(device, `#/car/tightening_run:${nuts}`));
    await page.getByText(/tight or not is to be settled/).waitFor();
    await page.getByRole('img', { name: /Disputed, to be settled: 3\./ }).waitFor();
    await page.getByText('0 of 4 tight, 1 disputed').waitFor();
    await page.getByRole('img', { name: /Disputed/ }).scrollIntoViewIfNeeded();
    await see('disputed-bolt');
    await page.goto(at(device, `#/car/assembly:${box}`));
    const holds = page.getByRole('region', { name: /^Hold points/ });
    await holds.getByText('disputed').waitFor();
    await holds.getByRole('link', { name: /was met, and .* was opened since/ }).waitFor();
    await holds.scrollIntoViewIfNeeded();
    await see('disputed-hold');
    await page.goto(at(device, `#/car/assembly:${lid}`));
    await page.getByText('closed, off the car').waitFor();
    await page.getByText(/^closed by Wilf/).waitFor();
    await page.getByText(/^taken off by Rosalind/).waitFor();
    await see('lid-both-names');
    await follow(page.getByRole('link', { name: /Timing cover/ }).first());
    await page.getByRole('button', { name: /^As Wilf had it: on the car/ }).waitFor();
    await see('lid-question');
    await page.getByRole('button', { name: /^As Wilf had it: on the car/ }).click();
    await page.getByRole('button', { name: /^Settle/ }).click();
    await page.goto(at(device, `#/keepers/agreed`));
    await page.getByText(/is as Wilf had it: on the car, opened and closed again/).first().waitFor();
    await see('agreed-whose');
  });
});

test('a look at a drop that fails says so', { timeout: 120_000 }, async () => {
  const stick = join(dir, 'stick');
  await mkdir(stick);
  await call(parent, 'drop_add', { place: { folder: { path: stick } }, photos: false, name: 'The stick' });
  await witnessmark('drop', 'look', '--at', parent);
  await rename(stick, `${stick}.away`);
  await served(parent, 'apart-drop', 'phone', async (page, _, device) => {
    await page.goto(at(device, `#/keepers/drops`));
    await page.getByText(/^The last look, .*, failed\.$/).waitFor();
    assert.equal(await page.getByText('It brought nothing new.').count(), 0);
    await fits(page, 'a look that failed');
    await clean(page, 'a look that failed');
    await shot(page, 'phone-drop-failed');
  });
});
