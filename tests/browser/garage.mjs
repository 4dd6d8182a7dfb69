// Builds the demo once for every file of tests, and serves copies of its two devices, each on a loopback port of its own choosing,
// in a browser that is watched: nothing may leave loopback, and nothing may break. It uses the program that WITNESSMARK_BIN names, or the debug build, and ends only what it started.
import assert from 'node:assert/strict';
import { execFile, spawn } from 'node:child_process';
import { cp, mkdir, mkdtemp, rename, rm, stat } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { createInterface } from 'node:readline';
import { promisify } from 'node:util';
import { HOUSE, open, shot } from './browser.mjs';

const run = promisify(execFile);

/** The day for which the demo is told as its sources were written, whatever today is: its last evening is the one before. */
const WRITTEN = '2025-11-16';

/** The program under test. */
export const PROGRAM = process.env['WITNESSMARK_BIN'] ?? join(HOUSE, 'target/debug/witnessmark');

/** Runs the program to its end; its output as JSON. */
export async function witnessmark(...args) {
  const { stdout } = await run(PROGRAM, [...args, '--json'], { maxBuffer: 1 << 26, timeout: 300_000 });
  return JSON.parse(stdout);
}

/** Writes everything of a folder's record into an open carry file, as a test's own hands may. */
export const wholeOf = (folder, file) => witnessmark('call', 'carry_out', JSON.stringify({ file, open: true }), '--at', folder);

/** Serves one folder; `address` is what the browser opens, `end` ends it. */
export async function serve(folder) {
  const child = spawn(PROGRAM, ['serve', '--at', folder, '--json'], { stdio: ['ignore', 'pipe', 'inherit'] });
  const lines = createInterface({ input: child.stdout });
  const said = await new Promise((done, fail) => {
    const late = setTimeout(() => fail(new Error('serve said nothing within 30 s')), 30_000);
    lines.once('line', (line) => {
      clearTimeout(late);
      done(JSON.parse(line));
    });
    child.once('exit', (code) => fail(new Error(`serve ended with ${code} before it said where it is`)));
  });
  const end = () =>
    new Promise((done) => {
      if (child.exitCode !== null || child.signalCode !== null) return done();
      child.once('exit', done);
      child.kill('SIGINT');
      setTimeout(() => child.kill('SIGKILL'), 5_000).unref();
    });
  /** Takes the program away from under its page, as a flat battery does. */
  const pull = async () => {
    device.pulled = true;
    const gone = new Promise((done) => child.once('exit', done));
    child.kill('SIGKILL');
    await gone;
  };
  // It stands there and answers nothing, and goes on again.
  const device = { ...said, folder, end, pull, pulled: false, hold: () => child.kill('SIGSTOP'), goOn: () => child.kill('SIGCONT') };
  return device;
}

/** What the console may tell: a refusal is an answer, though the browser calls it a failed resource; and a program that a test took away is missed. */
const expected = (fault, pulled) => fault.includes('422 (Unprocessable Entity)') || (pulled && /Failed to load resource: net::ERR_/.test(fault));

/** Serves and opens a folder for as long as `work` takes, and sees at the end that nothing strayed and nothing broke. */
export async function served(folder, name, size, work, how = {}) {
  const device = await serve(folder);
  let opened;
  try {
    opened = await open(device, size, how);
    await work(opened.page, opened, device);
  } catch (failed) {
    if (opened) await shot(opened.page, `failed-${name}`).catch(() => {});
    throw failed;
  } finally {
    await opened?.close();
    device.goOn();
    await device.end();
  }
  assert.deepEqual(opened.strayed, [], 'requests that left loopback');
  assert.deepEqual(opened.faults.filter((fault) => !expected(fault, device.pulled)), [], 'what the console told');
}

/**
 * The demo as this very build of the program makes it today; each file of tests runs in a process of its own, and making it
 * takes longer than many a story. It is made aside and then put in its place, so that nobody finds half of one.
 */
async function demoOf(program) {
  const { size, mtimeMs } = await stat(program);
  const kept = join(HOUSE, 'target/browser-demo');
  const place = join(kept, `${size}-${Math.round(mtimeMs)}-${new Date().toDateString().replaceAll(' ', '-')}`);
  if (await stat(place).then(() => true, () => false)) return place;
  await rm(kept, { recursive: true, force: true });
  await mkdir(kept, { recursive: true });
  const aside = await mkdtemp(join(kept, 'being-made-'));
  await witnessmark('demo', '--into', join(aside, 'demo'), '--day', WRITTEN);
  // Its tour has a story of its own; over every other one it would stand in the way of what is measured there.
  for (const device of ['parent', 'child']) await witnessmark('call', 'leave_tour', '{}', '--at', join(aside, 'demo', device));
  // Whoever else made it meanwhile made the same one.
  await rename(join(aside, 'demo'), place).catch((error) => (['ENOTEMPTY', 'EEXIST'].includes(error.code) ? undefined : Promise.reject(error)));
  return place;
}

/**
 * The demo, built once: `made` holds its two devices, `folder` is for their copies. `copy` makes one of `child` or `parent`,
 * not yet served; `at` serves and opens a copy of its own; `close` clears all of it away.
 */
export async function garage() {
  const folder = await mkdtemp(join(tmpdir(), 'witnessmark-browser-'));
  const made = await demoOf(PROGRAM);
  const copy = async (name, of) => {
    const place = join(folder, name);
    await cp(join(made, of), place, { recursive: true });
    return place;
  };
  const at = async (name, of, size, work) => served(await copy(name, of), name, size, work);
  return { folder, made, copy, at, close: () => rm(folder, { recursive: true, force: true }) };
}
