// The window story: the real desktop program on a demo's folder, driven as a person would use it, by role and name.
// It runs on a screen of its own, ends every program it started by its id, and never asks a network for anything.
// It takes pictures at both sizes, and asks axe (axe-core, whose rules follow WCAG 2.2) about every screen.

import { execFile, execFileSync } from "node:child_process";
import { mkdirSync, readFileSync, rmSync } from "node:fs";
import { createRequire } from "node:module";
import { dirname, join, resolve } from "node:path";
import { fileURLToPath } from "node:url";
import { promisify } from "node:util";
import { openWindow } from "./driver.mjs";
import { endAll, openScreen, within } from "./screen.mjs";

const HOUSE = resolve(dirname(fileURLToPath(import.meta.url)), "../..");
const PROGRAM = process.env.WITNESSMARK_BIN ?? join(HOUSE, "target/debug/witnessmark");
const WINDOW = process.env.WITNESSMARK_DESKTOP_BIN ?? join(HOUSE, "target/debug/witnessmark-desktop");
const SHOTS = process.env.WITNESSMARK_SHOTS ?? join(HOUSE, "target/shots");
const PLACE = join(SHOTS, "../window-story");
const PARENT = join(PLACE, "demo/parent");
const CHILD = join(PLACE, "demo/child");
const AXE = createRequire(join(HOUSE, "tests/browser/package.json")).resolve("axe-core/axe.min.js");

/** A window as on a desk, and one as narrow as a phone. */
const WIDE = [1280, 900];
const NARROW = [420, 800];

/** A line that no demo holds. */
const NOTE = "Kingpin bush reamed by hand: two turns, oil, two turns back.";

const run = promisify(execFile);

/** Runs the command-line program to its end; its output as JSON. */
async function witnessmark(...args) {
  const { stdout } = await run(PROGRAM, [...args, "--json"], { maxBuffer: 1 << 26, timeout: 300_000 });
  return JSON.parse(stdout);
}

let passed = 0;

/** One step of the story: told, timed, and the end of the story when it fails. */
async function step(name, work) {
  const started = Date.now();
  await within(120_000, name, work);
  passed += 1;
  console.log(`ok ${passed} ${name} (${((Date.now() - started) / 1000).toFixed(1)} s)`);
}

/** Takes pictures of a screen at both sizes and asks axe about each; leaves the window wide. */
async function look(window, name) {
  for (const [size, label] of [[NARROW, "narrow"], [WIDE, "wide"]]) {
    await window.resize(...size);
    await window.picture(join(SHOTS, `window-${name}-${label}.png`));
    const wrong = await axe(window);
    if (wrong.length > 0) throw new Error(`axe on ${name}, ${label}:\n${wrong.join("\n")}`);
    const over = await window.run("return document.documentElement.scrollWidth - window.innerWidth");
    if (over > 0) throw new Error(`${name}, ${label}: the page is ${over} px wider than the window`);
  }
}

/** What axe finds, a line each. */
async function axe(window) {
  if (!(await window.run("return typeof window.axe !== 'undefined'"))) {
    await window.run(readFileSync(AXE, "utf8"));
  }
  return window.run(`
    const { violations, passes } = await window.axe.run(document, { resultTypes: ["violations", "passes"] });
    if (passes.length === 0) throw new Error("axe looked at nothing");
    return violations.map((one) => one.id + ": " + one.help + " at " + one.nodes.map((node) => node.target.join(" ")).join(", "));
  `);
}

/** Fails unless it holds. */
function must(holds, what) {
  if (!holds) throw new Error(`it does not hold: ${what}`);
}

async function story() {
  mkdirSync(SHOTS, { recursive: true });
  rmSync(PLACE, { recursive: true, force: true });
  mkdirSync(PLACE, { recursive: true });

  await step("the demo is built, and the child's carry file", async () => {
    await witnessmark("demo", "--into", join(PLACE, "demo"), "--day", "2025-11-16");
    for (const device of ["parent", "child"]) await witnessmark("call", "leave_tour", "{}", "--at", join(PLACE, "demo", device));
    await witnessmark("--at", CHILD, "carry", "out", "--open", join(PLACE, "from-the-child.carry"));
  });
  const drawing = join(PLACE, "what-was-seen.png");
  execFileSync("convert", ["-size", "640x480", "gradient:navy-white", drawing], { timeout: 30_000 });

  const display = await openScreen(...WIDE);
  const environment = { ...process.env, DISPLAY: display };
  let window;
  await step("the window opens on the Day page", async () => {
    opened = window = await openWindow({ program: WINDOW, args: ["--at", PARENT], environment });
    await window.resize(...WIDE);
    await window.find("heading", /^Today, .* \d{4}$/);
    await window.find("button", /Tern/);
    await window.find("link", "Day");
  });
  await step("the real screen shows it", async () => {
    const path = join(SHOTS, "window-screen.png");
    execFileSync("import", ["-window", "root", path], { env: environment, timeout: 30_000 });
    const colours = Number(execFileSync("identify", ["-format", "%k", path], { timeout: 30_000 }));
    must(colours > 20, `the picture of the screen has more than 20 colours, not ${colours}`);
  });
  await step("the page can reach nothing but the notebook", async () => {
    const told = await window.run(`
      const refused = (work) => work.then(() => "allowed", (error) => "refused: " + (error.message ?? error));
      const { invoke } = window.__TAURI_INTERNALS__;
      return {
        global: typeof window.__TAURI__,
        event: await refused(invoke("plugin:event|emit", { event: "x", payload: 1 })),
        unknown: await refused(invoke("no_such_command")),
        network: await refused(fetch("http://127.0.0.1:9/")),
        inline: await refused((async () => { if (new Function("return 1")() === 1) return 1; })()),
      };
    `);
    must(told.global === "undefined", "there is no global Tauri");
    for (const way of ["event", "unknown", "network", "inline"]) must(told[way].startsWith("refused"), `${way}: ${told[way]}`);
  });
  await step("Day looks right", () => look(window, "day"));

  await step("a note is written and seen on the sheet", async () => {
    await window.press("button", "Note");
    await window.find("dialog", /^Note for /);
    await window.type("textbox", "Note", NOTE);
    await look(window, "note");
    await window.press("button", "Keep the note");
    await window.sees(NOTE);
    await window.gone("Note kept");
    await look(window, "day-with-note");
  });
  await step("a photo goes in and comes back as a picture", async () => {
    await window.choose("Photo", drawing);
    await window.find("dialog", "What does it show?");
    await window.picturesOf("What was just taken");
    // It may be shown and not read: a script that slipped in could send its bytes nowhere.
    const read = await window.run(`return fetch(document.querySelector("dialog img").src).then(() => "read", () => "refused")`);
    must(read === "refused", "a page shows photos but cannot read their bytes");
    await look(window, "photo");
    await window.press("button", "Keep it so");
    await window.press("button", "No, done");
    await window.gone("Photo kept");
  });
  await step("Car shows the tree, and an assembly opens", async () => {
    await window.press("link", "Car");
    await window.find("heading", /^Assemblies/);
    await look(window, "car");
    await window.press("link", /^Engine/);
    await window.find("heading", /^Engine/);
    await look(window, "assembly");
  });
  await step("Bench and Stores look right", async () => {
    await window.press("link", "Bench");
    await window.find("heading", "Bench");
    await look(window, "bench");
    await window.press("link", "Stores");
    await window.find("heading", /^Containers/);
    await look(window, "stores");
  });
  await step("Keepers: the child's carry file comes in, with points to settle", async () => {
    await window.press("link", "Keepers");
    await window.find("heading", "Keepers");
    await look(window, "keepers");
    await window.choose("Carry in a file", join(PLACE, "from-the-child.carry"));
    // Nobody signed the file, so the keeper is asked about all that it says.
    await window.sees("Nobody whom this record knows vouches for all", 60_000);
    await window.press("button", /^It is theirs/);
    await window.sees("brought", 60_000);
    await window.find("link", /^\d+ points? to settle$/);
    await look(window, "keepers-met");
  });
  await step("a point is settled in two taps", async () => {
    const before = (await window.all("link", /^Two values of one thing/)).length;
    await window.press("link", /^Two values of one thing/);
    await look(window, "point");
    await window.press("button", /^Keep: /);
    await window.press("button", "Settle it so");
    await window.sees("Settled.");
    await window.press("link", "Keepers");
    await window.find("heading", "Keepers");
    const after = (await window.all("link", /^Two values of one thing/)).length;
    must(after === before - 1, `one point less: ${before} before, ${after} after`);
  });
  await step("a carry file that is none is refused in words", async () => {
    await window.choose("Carry in a file", drawing);
    await window.sees("Nothing of it was taken in");
  });
  await step("the window closes, and another program finds everything in the folder", async () => {
    const today = await window.run("const now = new Date(); return [now.getFullYear(), now.getMonth() + 1, now.getDate()].map((part) => String(part).padStart(2, '0')).join('-')");
    await window.close();
    opened = undefined;
    const day = JSON.stringify(await witnessmark("--at", PARENT, "call", "day", JSON.stringify({ day: today })));
    must(day.includes(NOTE), "the note is on the disk");
    const keepers = await witnessmark("--at", PARENT, "call", "keepers", "{}");
    must(keepers.points.length > 0, "the points to settle are on the disk");
    await run(PROGRAM, ["--at", PARENT, "check"], { timeout: 120_000 });
  });
}

/** The open window, for a picture of where the story broke off. */
let opened;
let failed = 0;
try {
  await within(400_000, "the whole story", story);
} catch (error) {
  failed = 1;
  console.error(`FAILED after ${passed} steps: ${error.message}`);
  const path = join(SHOTS, "window-failed.png");
  const taken = await opened?.picture(path).then(() => true, () => false);
  if (taken) console.error("a picture of the page as it was then: window-failed.png");
} finally {
  await endAll();
}
console.log(`window: ${passed} passed, ${failed} failed`);
process.exit(failed);
