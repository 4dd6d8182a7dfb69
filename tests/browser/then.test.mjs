// A day in the words of its day, a hold point that is open again, parts along a shaft, what is on for trial: on a phone.
import assert from 'node:assert/strict';
import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { after, before, test } from 'node:test';
import { shot } from './browser.mjs';
import { served, wholeOf, witnessmark } from './garage.mjs';
import { clean, fits, follow, keeps, sheet, turnTo } from './screens.mjs';

const DAY = '2031-03-03';
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
  dir = await mkdtemp(join(tmpdir(), 'witnessmark-then-'));
  [parent, child] = ['parent', 'child'].map((one) => join(dir, one));
  await call(parent, 'start_record', { car: 'Tern', keeper: 'Rosalind' });
  const file = join(dir, 'first');
  await wholeOf(parent, file);
  await call(child, 'join_record', { file, keeper: 'Wilf', device_name: 'phone' });
  await from(child, parent, 'back');
});
after(() => rm(dir, { recursive: true, force: true }));

const add = async (name, args) => (await call(parent, name, args)).id;
const at = (device, hash) => `${new URL(device.address).origin}/?token=${device.token}${hash}`;
const see = async (page, name) => {
  await fits(page, name);
  await clean(page, name);
  await shot(page, `phone-${name}`);
};

test('a day says what was said then, and how it reads now is a tap from its history', { timeout: 120_000 }, async () => {
  const brakes = await add('add_assembly', { name: 'Brakes' });
  const hose = await add('add_finding', { what: 'Hose cracked to the cords', about: `assembly:${brakes}`, how_bad: 'mend', on: DAY });
  const hold = await add('add_hold_point', { what: 'Clips are in', assembly: brakes, how: 'seen' });
  await from(parent, child, 'said');
  await call(child, 'change_finding', { id: hose, fields: { what: 'Hose weathered', how_bad: 'watch' } });
  await call(child, 'change_hold_point', { id: hold, fields: { state: 'met', met_how: 'all four, by torch', on: DAY } });
  await call(child, 'change_hold_point', { id: hold, fields: { state: 'open' } });
  await from(child, parent, 'reworded');
  await served(parent, 'then-day', 'phone', async (page, _, device) => {
    await page.goto(at(device, `#/day/${DAY}`));
    const hers = page.getByRole('region', { name: 'Rosalind' });
    await hers.getByRole('link', { name: /Hose cracked to the cords.*to mend/ }).waitFor();
    const now = hers.getByRole('link', { name: /^now: Hose weathered · watch it/ });
    assert.equal(await hers.getByText('Hose weathered').count(), 1, 'not twice the same');
    await see(page, 'day-then');
    await follow(now);
    await page.getByText('What was seen: Hose cracked to the cords').waitFor();
    await see(page, 'day-then-history');
    // Open again, what was seen before is told as that.
    await turnTo(page, `#/car/assembly:${brakes}`);
    await page.getByText(/Seen before, .*by Wilf: all four, by torch\. It is open again/).first().waitFor();
    await see(page, 'hold-seen-before');
  });
});

test('parts stand in their order along a shaft, with an empty place and the marks on them', { timeout: 120_000 }, async () => {
  const shaft = await add('add_assembly', { name: 'Layshaft' });
  for (const [name, way_round, marks] of [['Third gear', 'boss to the rear', null], ['Bush', null, 'two punch dots: towards the flywheel'], ['Thrust washer', 'bevel outward', null]]) {
    await call(parent, 'add_part', { name, assembly: shaft, ...(way_round ? { way_round } : {}), ...(marks ? { marks } : {}) });
  }
  await served(parent, 'then-row', 'phone', async (page, _, device) => {
    await page.goto(at(device, `#/car/assembly:${shaft}`));
    const parts = page.getByRole('region', { name: /^Parts/ });
    await parts.getByText('marks: two punch dots: towards the flywheel').waitFor();
    await parts.getByRole('button', { name: 'Order along the shaft' }).click();
    const order = sheet(page, /in which order along the shaft/);
    for (const name of [/^Thrust washer/, /^Bush/, /^Third gear/]) await order.getByRole('button', { name }).click();
    await order.getByRole('button', { name: /^Up ?: Third gear/ }).click();
    await see(page, 'row-order');
    await keeps(order, 'Keep this order');
    const row = parts.getByRole('list', { name: /^Along the shaft/ });
    await row.getByText('bevel outward').waitFor();
    const names = async () => (await row.getByRole('listitem').allInnerTexts()).map((one) => one.replace(/\s+/g, ' ').trim());
    assert.deepEqual(await names(), ['1 Thrust washer bevel outward', '2 Third gear boss to the rear', '3 Bush']);
    // Where nothing belongs, that is its way round.
    await parts.getByRole('button', { name: '+ empty place' }).click();
    await keeps(sheet(page, /where nothing belongs/), 'Keep');
    await parts.getByRole('link', { name: /^Empty place/ }).first().waitFor();
    await parts.getByRole('button', { name: 'Order along the shaft' }).click();
    await order.getByRole('button', { name: /^Empty place/ }).click();
    await order.getByRole('button', { name: /^Up ?: Empty place/ }).click();
    await keeps(order, 'Keep this order');
    await row.getByRole('link', { name: /3 ?Empty place/ }).waitFor();
    assert.deepEqual((await names())[2], '3 Empty place nothing belongs here');
    await see(page, 'row');
  });
});

test('what is on for trial says so where it is, and stands in the way of closing until it stays or is out', { timeout: 120_000 }, async () => {
  const wing = await add('add_assembly', { name: 'Front wing' });
  const stay = await add('add_part', { name: 'Wing stay', assembly: wing });
  await served(parent, 'then-trial', 'phone', async (page, _, device) => {
    await page.goto(at(device, `#/car/part:${stay}`));
    await page.getByRole('button', { name: 'It lies …' }).click();
    const where = sheet(page, /where does it lie/);
    await where.getByRole('radio', { name: 'On for trial' }).check();
    await where.getByRole('textbox', { name: /^Why, or until when/ }).fill('holes do not line up yet');
    await keeps(where, 'It lies there');
    await page.getByText('In the car: Front wing, on for trial: holes do not line up yet', { exact: true }).first().waitFor();
    await see(page, 'part-for-trial');
    await turnTo(page, `#/car/assembly:${wing}`);
    const up = page.getByRole('region', { name: 'Close up' });
    await up.getByText(/on for trial: holes do not line up yet/).waitFor();
    await see(page, 'trial-in-the-way');
    await up.getByRole('button', { name: /^It stays on ?: Wing stay/ }).click();
    await up.getByRole('button', { name: 'Close it up' }).waitFor();
    // So may the assembly itself.
    await page.getByRole('button', { name: 'Change name, place, notes' }).click();
    const form = sheet(page, 'Front wing');
    await form.getByRole('button', { name: '+ more about it' }).click();
    await form.getByRole('textbox', { name: /^On for trial/ }).fill('to see how the gap runs');
    await keeps(form, 'Keep');
    await page.getByText('On for trial: to see how the gap runs. It comes off again.').waitFor();
    await up.getByRole('button', { name: /^It stays on ?: Front wing/ }).waitFor();
    await see(page, 'assembly-for-trial');
  });
});
