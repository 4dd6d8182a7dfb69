// Builds the demo into a folder of its own and serves its two devices, each on a loopback port of its own choosing. It
// uses the program that WITNESSMARK_BIN names, or the debug build, and ends only what it started.
import { execFile, spawn } from 'node:child_process';
import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { dirname, join, resolve } from 'node:path';
import { createInterface } from 'node:readline';
import { fileURLToPath } from 'node:url';
import { promisify } from 'node:util';

const run = promisify(execFile);

/** The root of the house. */
export const HOUSE = resolve(dirname(fileURLToPath(import.meta.url)), '../..');
/** The program under test. */
export const PROGRAM = process.env['WITNESSMARK_BIN'] ?? join(HOUSE, 'target/debug/witnessmark');

/** Runs the program to its end; its output as JSON. */
export async function witnessmark(...args) {
  const { stdout } = await run(PROGRAM, [...args, '--json'], { maxBuffer: 1 << 26, timeout: 300_000 });
  return JSON.parse(stdout);
}

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
      if (child.exitCode !== null) return done();
      child.once('exit', done);
      child.kill('SIGINT');
      setTimeout(() => child.kill('SIGKILL'), 5_000).unref();
    });
  return { ...said, folder, end };
}

/** The demo, built once: `made` holds its two devices, `folder` is for their copies. `close` clears all of it away. */
export async function garage() {
  const folder = await mkdtemp(join(tmpdir(), 'witnessmark-browser-'));
  const made = join(folder, 'demo');
  await witnessmark('demo', '--into', made);
  return { folder, made, close: () => rm(folder, { recursive: true, force: true }) };
}
