// Many tabs of one browser over one notebook: a browser lends a page six connections to one address, and each tab has to do
// without one of its own for what changes. The eighth opens, each hears of what is done in another, and one that held the stream
// may go.
import assert from 'node:assert/strict';
import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { test } from 'node:test';
import { served, witnessmark } from './garage.mjs';

test('a car that one tab starts sends the other nowhere', { timeout: 120_000 }, async () => {
  const folder = await mkdtemp(join(tmpdir(), 'witnessmark-tabs-'));
  try {
    await served(folder, 'tabs-start', 'phone', async (page, { context, faults }, device) => {
      const other = await context.newPage();
      other.on('pageerror', (error) => faults.push(String(error)));
      await other.goto(`${new URL(device.address).origin}/?token=${device.token}#/keepers`);
      for (const one of [page, other]) await one.getByRole('heading', { level: 1, name: 'Witnessmark' }).waitFor();
      await page.getByRole('textbox', { name: /^What you call the car/ }).fill('Tern');
      await page.getByRole('textbox', { name: /^Your name/ }).fill('Rosalind');
      await page.getByRole('button', { name: 'Start the record' }).click();
      await other.getByRole('heading', { level: 1, name: 'Keepers' }).waitFor();
    });
  } finally {
    await rm(folder, { recursive: true, force: true });
  }
});

test('eight tabs open, and each hears of what is done in another', { timeout: 180_000 }, async () => {
  const folder = await mkdtemp(join(tmpdir(), 'witnessmark-tabs-'));
  await witnessmark('call', 'start_record', JSON.stringify({ car: 'Tern', keeper: 'Rosalind' }), '--at', folder);
  try {
    await served(folder, 'tabs', 'wide', async (page, { context, faults }, device) => {
      const day = '2031-03-01';
      const at = `${new URL(device.address).origin}/?token=${device.token}#/day/${day}`;
      const pages = [page];
      await page.goto(at);
      while (pages.length < 8) {
        const next = await context.newPage();
        next.on('pageerror', (error) => faults.push(String(error)));
        await next.goto(at);
        // It is there with what only the notebook can have told it.
        await next.getByText('Tern').first().waitFor();
        pages.push(next);
      }
      const streams = async () => {
        const counts = await Promise.all(pages.map((one) => one.evaluate(() => performance.getEntriesByType('resource').filter((entry) => entry.name.includes('/patches')).length)));
        return counts.reduce((sum, count) => sum + count, 0);
      };
      // A stream is among the resources of a page when it has ended, or never; what counts is that all tabs are told.
      assert.ok((await streams()) <= 1);
      const call = (one, name, args) =>
        one.evaluate(
          async ([name, args, token]) => (await fetch('call', { method: 'POST', headers: { 'X-Witnessmark-Token': token }, body: JSON.stringify({ name, args }) })).status,
          [name, args, device.token],
        );
      assert.equal(await call(pages[7], 'add_order', { what: 'Grease for the tail hinge', on: day }), 200);
      for (const one of pages) await one.getByText('Grease for the tail hinge').first().waitFor();
      // The first one held the stream.
      await pages.shift().close();
      assert.equal(await call(pages[3], 'add_order', { what: 'Oil for the door locks', on: day }), 200);
      for (const one of pages) await one.getByText('Oil for the door locks').first().waitFor();
    });
  } finally {
    await rm(folder, { recursive: true, force: true });
  }
});
