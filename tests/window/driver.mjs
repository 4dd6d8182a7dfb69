// The W3C WebDriver protocol over HTTP, as far as the window test needs it: https://www.w3.org/TR/webdriver2/
// It never waits without an end, and it finds things by role and accessible name, as a person's reader would.

import { createServer } from "node:net";
import { writeFileSync } from "node:fs";
import { descendants, pause, start } from "./screen.mjs";

/** The key under which WebDriver sends an element (W3C WebDriver, section 12). */
const ELEMENT = "element-6066-11e4-a52e-4f735466cecf";

/** Where elements of a role may be found, before their computed role and label decide. */
const CANDIDATES = {
  button: "button, summary, [role=button], input[type=submit]",
  link: "a[href], [role=link]",
  heading: "h1, h2, h3, h4, h5, h6, [role=heading]",
  textbox: "textarea, input:not([type]), input[type=text], input[type=search], [role=textbox], [contenteditable]",
  main: "main, [role=main]",
  navigation: "nav, [role=navigation]",
  dialog: "dialog[open], [role=dialog]",
  treeitem: "[role=treeitem]",
  listitem: "li, [role=listitem]",
  combobox: "select, [role=combobox]",
};

/** Starts WebKitWebDriver on a free port and opens a session on the program; gives the open window. */
export async function openWindow({ program, args, environment }) {
  const port = await freePort();
  const driver = start("WebKitWebDriver", [`--port=${port}`], {
    env: { ...environment, TAURI_AUTOMATION: "true", TAURI_WEBVIEW_AUTOMATION: "true" },
  });
  const base = `http://127.0.0.1:${port}`;
  await until(10_000, "the driver answers", async () => (await ask(base, "GET", "/status")).ready !== undefined);
  const { sessionId } = await ask(
    base,
    "POST",
    "/session",
    { capabilities: { alwaysMatch: { "webkitgtk:browserOptions": { binary: program, args } } } },
    60_000,
  );
  return new Window(base, `/session/${sessionId}`, driver.pid);
}

/** The real window, driven. */
class Window {
  #base;
  #session;
  #driver;

  constructor(base, session, driver) {
    this.#base = base;
    this.#session = session;
    this.#driver = driver;
  }

  #ask(method, path, body) {
    return ask(this.#base, method, this.#session + path, body);
  }

  /** Runs a function's body in the page; `await` may be used in it. */
  run(body, ...args) {
    const script = `const done = arguments[arguments.length - 1];
      (async function () { ${body} }).apply(null, arguments).then((value) => done({ value }), (error) => done({ error: String(error) }));`;
    return this.#ask("POST", "/execute/async", { script, args }).then((told) => {
      if (told.error) throw new Error(`in the page: ${told.error}`);
      return told.value;
    });
  }

  /** The visible elements of a role whose accessible name is (or matches) `name`. */
  async all(role, name) {
    const css = CANDIDATES[role];
    if (!css) throw new Error(`the driver does not know where to look for a ${role}`);
    const found = [];
    for (const { [ELEMENT]: id } of await this.#ask("POST", "/elements", { using: "css selector", value: css })) {
      try {
        const path = `/element/${id}`;
        const label = await this.#ask("GET", `${path}/computedlabel`);
        const named = name instanceof RegExp ? name.test(label) : label === name;
        if (!named || (await this.#ask("GET", `${path}/computedrole`)) !== role) continue;
        if (await this.#ask("GET", `${path}/displayed`)) found.push(id);
      } catch (error) {
        // The page drew itself anew while we looked, or this one is no part of what a reader is told (the driver
        // says `unknown error` then): it is not what is looked for.
        if (!["stale element reference", "no such element", "unknown error"].includes(error.code)) throw error;
      }
    }
    return found;
  }

  /** The first such element, waited for. */
  async find(role, name, milliseconds = 15_000) {
    const what = `a ${role} named ${name}`;
    const [id] = await until(milliseconds, what, async () => {
      const found = await this.all(role, name);
      return found.length > 0 && found;
    });
    return id;
  }

  /** Presses it, as a pointer would. */
  async press(role, name) {
    const id = await this.find(role, name);
    await this.#ask("POST", `/element/${id}/click`, {});
  }

  /** Types into it. */
  async type(role, name, text) {
    const id = await this.find(role, name);
    await this.#ask("POST", `/element/${id}/value`, { text });
  }

  /** Gives the file to the file field of this label. */
  async choose(label, path) {
    const field = await until(15_000, `a file field labelled ${label}`, () =>
      this.run(
        `return [...document.querySelectorAll("input[type=file]")].find((field) =>
          [...field.labels].some((label) => label.innerText.trim() === arguments[0])) ?? null`,
        label,
      ),
    );
    await this.#ask("POST", `/element/${field[ELEMENT]}/value`, { text: path });
  }

  /** Waits until the picture of this description is there, with pixels in it. */
  picturesOf(description, milliseconds = 15_000) {
    return until(milliseconds, `the picture "${description}" has pixels`, () =>
      this.run(
        `const picture = [...document.images].find((image) => image.alt === arguments[0]);
         return picture !== undefined && picture.complete && picture.naturalWidth > 0`,
        description,
      ),
    );
  }

  /** Waits until the page shows this text. */
  sees(text, milliseconds = 15_000) {
    return until(milliseconds, `the page shows ${JSON.stringify(text)}`, () =>
      this.run("return document.body.innerText.includes(arguments[0])", text),
    );
  }

  /** Waits until the page shows this text no longer. */
  gone(text, milliseconds = 15_000) {
    return until(milliseconds, `the page no longer shows ${JSON.stringify(text)}`, () =>
      this.run("return !document.body.innerText.includes(arguments[0])", text),
    );
  }

  /** Makes the window this large, outside. */
  async resize(width, height) {
    await this.#ask("POST", "/window/rect", { x: 0, y: 0, width, height });
    await until(5_000, `the page is about ${width} wide`, async () => {
      const wide = await this.run("return window.innerWidth");
      return Math.abs(wide - width) <= 4;
    });
    // Two frames and a moment: the picture is of what is drawn, which comes after what is laid out.
    await this.run("for (const frame of [1, 2]) await new Promise((done) => requestAnimationFrame(() => done(frame)))");
    await pause(200);
  }

  /** Takes a picture of the page. */
  async picture(path) {
    writeFileSync(path, Buffer.from(await this.#ask("GET", "/screenshot"), "base64"));
  }

  /** Closes the window, and waits until its program has ended. */
  async close() {
    await this.#ask("DELETE", "");
    await until(15_000, "the program has ended", () => descendants(this.#driver).length === 0);
  }
}

/** One request to the driver; an error carries WebDriver's code. */
async function ask(base, method, path, body, milliseconds = 20_000) {
  const response = await fetch(base + path, {
    method,
    body: method === "POST" ? JSON.stringify(body ?? {}) : undefined,
    headers: { "content-type": "application/json" },
    signal: AbortSignal.timeout(milliseconds),
  });
  const { value } = await response.json();
  if (response.ok) return value;
  throw Object.assign(new Error(`${method} ${path}: ${value?.error}: ${value?.message}`), { code: value?.error });
}

/** Tries until it gives something true; the last trouble is told when it never does. */
async function until(milliseconds, what, attempt) {
  const end = Date.now() + milliseconds;
  let trouble;
  do {
    try {
      const got = await attempt();
      if (got) return got;
    } catch (error) {
      trouble = error;
    }
    await pause(100);
  } while (Date.now() < end);
  throw new Error(`not within ${milliseconds} ms: ${what}${trouble ? ` (${trouble.message})` : ""}`);
}

function freePort() {
  return new Promise((done, fail) => {
    const server = createServer();
    server.on("error", fail);
    server.listen(0, "127.0.0.1", () => {
      const { port } = server.address();
      server.close(() => done(port));
    });
  });
}
