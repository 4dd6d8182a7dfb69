// A screen without a screen, and the end of every program that the window test starts.
// It never ends a program by name: only by the id of what it started itself, and of that one's own children.

import { spawn } from "node:child_process";
import { once } from "node:events";
import { readFileSync, readdirSync } from "node:fs";

/** What this test started, in order; ended in the opposite order. */
const started = [];

/** Starts a program that is ended with the test. `options` as for `spawn`. */
export function start(program, args, options = {}) {
  const child = spawn(program, args, { stdio: "inherit", ...options });
  child.on("error", (error) => console.error(`${program}: ${error.message}`));
  started.push(child);
  return child;
}

/** Opens a screen of this size on a display that is free, and gives its name (like `:3`). */
export async function openScreen(width, height) {
  const child = start(
    "Xvfb",
    ["-displayfd", "3", "-screen", "0", `${width}x${height}x24`, "-nolisten", "tcp"],
    { stdio: ["ignore", "ignore", "inherit", "pipe"] },
  );
  let told = "";
  child.stdio[3].on("data", (piece) => (told += piece));
  await within(15_000, "Xvfb names its display", async () => {
    while (!told.includes("\n")) {
      if (child.exitCode !== null) throw new Error(`Xvfb ended with ${child.exitCode}`);
      await pause(20);
    }
  });
  return `:${told.trim()}`;
}

/** Ends everything that was started, with its children, whatever state it is in. */
export async function endAll() {
  for (const child of started.reverse()) {
    if (child.exitCode !== null || child.signalCode !== null || child.pid === undefined) continue;
    const family = [...descendants(child.pid), child.pid];
    family.forEach((id) => end(id, "SIGTERM"));
    await Promise.race([once(child, "exit"), pause(2_000)]);
    family.forEach((id) => end(id, "SIGKILL"));
  }
  started.length = 0;
}

function end(id, signal) {
  try {
    process.kill(id, signal);
  } catch (error) {
    if (error.code !== "ESRCH") throw error;
  }
}

/** The ids of a program's children and theirs, youngest first. */
export function descendants(id) {
  const parents = new Map();
  for (const name of readdirSync("/proc")) {
    if (!/^\d+$/.test(name)) continue;
    try {
      const stat = readFileSync(`/proc/${name}/stat`, "utf8");
      const [, parent] = stat.slice(stat.lastIndexOf(")") + 2).split(" ");
      parents.set(Number(name), Number(parent));
    } catch {
      // It ended while we looked.
    }
  }
  const found = [];
  const gather = (of) => {
    for (const [child, parent] of parents) if (parent === of) (gather(child), found.push(child));
  };
  gather(id);
  return found;
}

/** Waits this many milliseconds. */
export function pause(milliseconds) {
  return new Promise((done) => setTimeout(done, milliseconds));
}

/** Does `work`, or fails after `milliseconds` saying what did not happen. */
export async function within(milliseconds, what, work) {
  let timer;
  const late = new Promise((_, fail) => {
    timer = setTimeout(() => fail(new Error(`not within ${milliseconds} ms: ${what}`)), milliseconds);
  });
  try {
    return await Promise.race([work(), late]);
  } finally {
    clearTimeout(timer);
  }
}
