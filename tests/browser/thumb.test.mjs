// Under the thumb: what keeps a form is in sight at its foot, at the right, however long the form and however large the letters; what was
// done is told there and can be undone; back leads where one came from and finds it as it was left, search too.
import assert from 'node:assert/strict';
import { after, before, describe, test } from 'node:test';
import { shot } from './browser.mjs';
import { garage, served, wholeOf, witnessmark } from './garage.mjs';
import { clean, eventually, fits, follow, go, inView, preferences, sheet, targets } from './screens.mjs';

let demo;
/** The parent's whole record as a file: what two could not know of each other is to be settled. */
let met;
before(async () => {
  demo = await garage();
  met = `${demo.folder}/his.carry`;
  await wholeOf(await demo.copy('his', 'parent'), met);
});
after(() => demo?.close());

/** Twice the letters that the browser has by itself. */
const LARGE = { flags: ['--blink-settings=defaultFontSize=32'] };

/** Where a button lies on the screen, as a person sees it: whole, and with nothing over its middle. */
async function inReach(page, button, name) {
  const box = await button.boundingBox();
  const { width, height } = page.viewportSize();
  assert.ok(box && box.x >= 0 && box.y >= 0 && box.x + box.width <= width + 1 && box.y + box.height <= height + 1, `${name} is in sight: ${JSON.stringify(box)} of ${width} by ${height}`);
  // What has only just come up lets a thumb through that was on its way.
  await eventually(async () => {
    const hit = await button.evaluate((one) => {
      const { left, top, width, height } = one.getBoundingClientRect();
      return one.contains(document.elementFromPoint(left + width / 2, top + height / 2));
    });
    assert.ok(hit, `nothing lies over ${name}`);
  }, 2_000);
  return box;
}

/** What keeps lies at the foot of the screen and right of what leaves, which is the smaller. */
async function underThumb(page, keep, leave, name) {
  const [kept, left] = [await inReach(page, keep, name), await inReach(page, leave, `${name}, the way out`)];
  assert.ok(left.x + left.width <= kept.x + 1, `${name}: the way out is at the left of what keeps`);
  assert.ok(left.width < kept.width, `${name}: the way out is the smaller`);
  return kept;
}

const assembly = async (page, name) => {
  await go(page, 'Car');
  await follow(page.getByRole('link', { name: new RegExp(`^${name} `) }).first());
  await page.getByRole('heading', { level: 1, name, exact: true }).waitFor();
};

for (const [how, size, more] of [
  ['on a phone', 'phone', {}],
  ['on a wide screen', 'wide', {}],
  ['on a phone that lies on its side', 'side', {}],
  ['on a phone, letters twice as large', 'phone', LARGE],
  ['on a phone that lies on its side, letters twice as large', 'side', LARGE],
]) {
  test(`every way to keep is under the thumb, ${how}`, async () => {
    const name = how.replace(/\W+/g, '-');
    const nell = await demo.copy(`thumb-${name}`, 'child');
    const call = (of, args) => witnessmark('call', of, JSON.stringify(args), '--at', nell);
    await call('carry_in', { file: met, welcome: true });
    const rack = (await call('add_assembly', { name: 'Roof rack' })).id;
    for (const what of ['one foot bent', 'clamp rusted', 'weld cracked']) await call('add_finding', { about: `assembly:${rack}`, what, how_bad: 'danger', on: '2025-11-15' });
    await served(nell, `thumb-${name}`, size, async (page) => {
      // What stays on the screen takes a fifth of its height at most; on its side, the bar stands beside the page.
      await page.getByRole('heading', { level: 1 }).waitFor();
      const taken = await page.evaluate(() => {
        const [header, bar, places] = [document.querySelector('header'), document.querySelector('[aria-label="Quick capture"]'), document.querySelector('nav[aria-label="Places"]')].map((one) => one.getBoundingClientRect());
        const across = (box) => (box.width > innerWidth / 2 ? box.height : 0);
        return { each: [header, bar, places].map(across), share: (across(header) + across(bar) + across(places)) / innerHeight };
      });
      assert.ok(taken.share <= 0.2, `header, capture bar and places take a fifth at most, ${how}: ${JSON.stringify(taken)}`);
      // A part: the longest form that is opened daily; its foot stays while it is filled and unfolded.
      await page.getByRole('button', { name: 'Part', exact: true }).click();
      const part = sheet(page, 'A part');
      const keep = part.getByRole('button', { name: 'Keep it' });
      const leave = part.getByRole('button', { name: 'Leave it' });
      await part.getByRole('button', { name: '+ more about it' }).click();
      await part.getByRole('textbox', { name: /^Notes/ }).scrollIntoViewIfNeeded();
      await underThumb(page, keep, leave, `a part ${how}`);
      // A refusal is brought into sight.
      await keep.click();
      await eventually(async () => inReach(page, part.getByRole('alert').first(), 'the refusal'));
      await shot(page, `thumb-part-${name}`);
      await leave.click();
      // The settling page has its act at the foot as well, as soon as something is chosen.
      await go(page, 'Keepers');
      await follow(page.getByRole('region', { name: /^Points to settle/ }).getByRole('link').first());
      await page.getByRole('group', { name: 'How it is settled' }).getByRole('button').first().click();
      await underThumb(page, page.getByRole('button', { name: 'Settle it so' }), page.getByRole('button', { name: 'Leave it', exact: true }), `settling ${how}`);
      await shot(page, `thumb-settle-${name}`);
      await page.getByRole('button', { name: 'Leave it', exact: true }).click();
      await page.getByRole('heading', { level: 1, name: 'Keepers' }).waitFor();
      // So has closing up, for as long as one is at it.
      await assembly(page, 'Roof rack');
      await page.getByRole('heading', { level: 2, name: 'Close up' }).scrollIntoViewIfNeeded();
      await inReach(page, page.getByRole('region', { name: 'Close up' }).getByRole('button', { name: /^Not yet/ }), `closing up ${how}`);
      await shot(page, `thumb-close-up-${name}`);
      await fits(page, 'an assembly');
      await clean(page, 'an assembly');
    }, more);
  });
}

for (const size of ['phone', 'wide']) {
  describe(`at the size of a ${size}`, () => {
    test('what was done is told where the thumb is, and one tap undoes it', async () => {
      const nell = await demo.copy(`told-${size}`, 'child');
      const call = (name, args) => witnessmark('call', name, JSON.stringify(args), '--at', nell);
      const rack = (await call('add_assembly', { name: 'Roof rack' })).id;
      await call('add_job', { what: 'Straighten the foot', assembly: rack });
      await served(nell, `told-${size}`, size, async (page) => {
        await assembly(page, 'Roof rack');
        const undo = page.getByRole('button', { name: 'Undo' });
        const says = (words) => page.getByRole('status').filter({ hasText: words }).waitFor();
        await page.getByRole('region', { name: /^Jobs/ }).getByRole('button', { name: /^Done ?: Straighten/ }).click();
        await sheet(page, 'Straighten the foot').getByRole('textbox', { name: 'What came of it' }).fill('Cold, over a mandrel');
        await sheet(page, 'Straighten the foot').getByRole('button', { name: 'Done', exact: true }).click();
        await says('Job done.');
        const box = await inReach(page, undo, 'the way to undo');
        const { height } = page.viewportSize();
        assert.ok(box.y > height * 0.6, `told where the thumb is: ${box.y} of ${height}`);
        await shot(page, `${size}-told`);
        await targets(page, 44);
        await undo.click();
        await says('Undone.');
        await page.getByRole('button', { name: /^Done ?: Straighten/ }).waitFor();
        assert.equal(await page.getByText('Cold, over a mandrel').count(), 0);

        // What was entered, and what was changed.
        await page.getByRole('button', { name: '+ part' }).click();
        await sheet(page, /^A part/).getByRole('textbox', { name: /^Name/ }).fill('Rear clamp');
        await sheet(page, /^A part/).getByRole('button', { name: 'Keep it' }).click();
        await page.getByRole('link', { name: /^Rear clamp/ }).waitFor();
        await undo.click();
        await says('Undone.');
        await follow(page.getByRole('link', { name: /^Rear clamp/ }));
        await page.getByText(/^Struck out: Undone at once/).waitFor();
        const back = page.getByRole('link', { name: '‹ Roof rack', exact: true });
        await follow(back);
        await page.getByRole('button', { name: 'Change name, place, notes' }).click();
        await sheet(page, 'Roof rack').getByRole('textbox', { name: /^Name/ }).fill('Roof bars');
        await sheet(page, 'Roof rack').getByRole('button', { name: 'Keep the change' }).click();
        await page.getByRole('heading', { level: 1, name: 'Roof bars' }).waitFor();
        await undo.click();
        await page.getByRole('heading', { level: 1, name: 'Roof rack' }).waitFor();

        // A note, taken off the sheet again.
        await go(page, 'Day');
        await page.getByRole('button', { name: 'Note' }).click();
        await sheet(page, /^Note for/).getByRole('textbox', { name: 'Note' }).fill('Said too early.');
        await sheet(page, /^Note for/).getByRole('button', { name: 'Keep the note' }).click();
        await page.getByRole('region', { name: 'Nell Ashdown' }).getByText('Said too early.').waitFor();
        await undo.click();
        await says('Undone.');
        await eventually(async () => assert.equal(await page.getByText('Said too early.').count(), 0));
        await page.getByRole('button', { name: 'Hours at the bench' }).first().click();
        await sheet(page, 'Hours at the bench').getByRole('textbox').fill('1.5');
        await sheet(page, 'Hours at the bench').getByRole('button', { name: 'Keep the hours' }).click();
        await says('Hours kept.');
        await clean(page, 'what was told');
        // What was told goes with the page that it was told on.
        await page.getByRole('button', { name: 'Note' }).click();
        await sheet(page, /^Note for/).getByRole('textbox', { name: 'Note' }).fill('The rack is straight.');
        await sheet(page, /^Note for/).getByRole('button', { name: 'Keep the note' }).click();
        await says('Note kept.');
        await page.waitForTimeout(1_600);
        await go(page, 'Car');
        await eventually(async () => assert.equal(await undo.count(), 0), 3_000);
      });
    });

    test('what is told lies over nothing that the thumb presses next: the button of a run, and what undoes its last bolt', async () => {
      const nell = await demo.copy(`clear-${size}`, 'child');
      const call = (name, args) => witnessmark('call', name, JSON.stringify(args), '--at', nell);
      const rack = (await call('add_assembly', { name: 'Roof rack' })).id;
      await call('add_tightening_run', { what: 'Rack feet', assembly: rack, layout: 'circle', bolts: 4, torque: '15 N·m', conditions: 'dry threads', on: '2025-11-15' });
      await served(nell, `clear-${size}`, size, async (page) => {
        await assembly(page, 'Roof rack');
        await follow(page.getByRole('link', { name: /^Rack feet/ }).first());
        const tight = page.getByRole('button', { name: /^Tight bolt/ });
        const undo = page.getByRole('button', { name: 'Undo', exact: true });
        await tight.click();
        await page.getByRole('status').filter({ hasText: 'is tight.' }).waitFor();
        await inReach(page, tight, 'the button for the next bolt');
        await inReach(page, page.getByRole('button', { name: /^Undo the last/ }), 'what undoes the last bolt');
        await page.getByRole('button', { name: 'Change the run' }).click();
        await sheet(page, 'Rack feet').getByRole('textbox', { name: /^What/ }).fill('Rack feet, front');
        await sheet(page, 'Rack feet').getByRole('button', { name: 'Keep the change' }).click();
        await page.getByRole('heading', { level: 1, name: 'Rack feet, front' }).waitFor();
        const [below, told] = [await inReach(page, tight, 'the button for the next bolt, when the run was changed'), await inReach(page, undo, 'the way to undo')];
        await shot(page, `${size}-told-over-run`);
        assert.ok(told.y + told.height <= below.y + 1, `what undoes the change is not over the button: ${JSON.stringify([told, below])}`);
      });
    });

    test('a long page has a line of its parts that stays and leads to each; what is open first, what is done folded, readings by what they measure', async () => {
      await demo.at(`parts-${size}`, 'child', size, async (page) => {
        await assembly(page, 'Crankshaft and main bearings');
        const line = page.getByRole('navigation', { name: 'Parts of this page' });
        const to = (name) => line.getByRole('button', { name });
        await to(/^Open now/).waitFor();
        assert.deepEqual((await line.getByRole('button').allInnerTexts()).map((words) => words.replace(/\d+$/, '').trim()), ['Open now', 'Photos', 'Parts', 'Readings', 'Done']);
        await shot(page, `${size}-page-parts`);
        for (const [name, heading] of [[/^Readings/, /^Readings/], [/^Photos/, /^Photos/], [/^Parts/, /^Parts/], [/^Done/, /^Done/], [/^Open now/, /^(Points to settle|Closed over|Jobs|Close up)/]]) {
          await to(name).click();
          const title = page.getByRole('heading', { level: 2, name: heading }).first();
          await inView(title, String(heading));
          await inView(line, 'the line of parts');
          await shot(page, `${size}-page-part-${String(name).replace(/\W+/g, '')}`);
        }
        // By keys as well: whoever hears the page goes on from the part.
        await to(/^Done/).focus();
        await page.keyboard.press('Enter');
        await eventually(async () => assert.match(await page.evaluate(() => document.activeElement.textContent), /^Done/));
        // Led to what is done, it lies open.
        await page.getByRole('region', { name: /^Done/ }).getByRole('button', { name: /^Open it again/ }).first().waitFor();
        // Twenty-four readings are a few groups, and what holds of all of a group is said once.
        const readings = page.getByRole('region', { name: /^Readings/ });
        const pins = page.getByRole('region', { name: 'Crankpin diameter', exact: true });
        assert.equal(await pins.getByRole('listitem').filter({ hasText: 'pin' }).count() >= 4, true);
        assert.equal(await pins.getByText(/read at 14 °C/).count(), 1, 'one remark, not one a reading');
        await pins.scrollIntoViewIfNeeded();
        await shot(page, `${size}-page-reading-group`);
        await follow(readings.getByRole('link', { name: /Crankpin diameter, pin 3/ }).first());
        await page.getByRole('heading', { level: 1, name: 'Crankpin diameter' }).waitFor();
        // Far from closing, what is in the way is a line; near, it is all there.
        await assembly(page, 'Engine');
        const up = page.getByRole('region', { name: 'Close up' });
        await up.getByText(/things in the way/).waitFor();
        assert.equal(await up.getByRole('checkbox').count(), 0);
        await shot(page, `${size}-page-far`);
        await up.getByText(/^Findings without an end: \d+/).click();
        await up.getByRole('checkbox').first().waitFor();
        await fits(page, 'an assembly');
        await targets(page, 44);
        await clean(page, 'an assembly');
      });
    });

    test('names are enough to choose by: many at once, what is there already, the next free code, new in the midst, another like it', async () => {
      const nell = await demo.copy(`names-${size}`, 'child');
      const call = (name, args) => witnessmark('call', name, JSON.stringify(args), '--at', nell);
      const spare = (await call('add_assembly', { name: 'Spare engine' })).id;
      await call('add_container', { code: 'Q7', name: 'spare engine bolts' });
      await call('add_order', { what: 'Rings for the spare', state: 'ordered', on: '2025-05-03', due: '2025-06-01' });
      await served(nell, `names-${size}`, size, async (page) => {
        await assembly(page, 'Spare engine');
        // Four pistons in one act, told before anything is kept.
        await page.getByRole('button', { name: '+ part' }).click();
        const part = sheet(page, 'A part in Spare engine');
        await part.getByRole('textbox', { name: /^Name/ }).fill('Pistons');
        await part.getByRole('textbox', { name: /^Position/ }).fill('cylinders 1-4');
        await part.getByText('Piston, cylinder 1 · Piston, cylinder 2').waitFor();
        await part.getByRole('checkbox', { name: 'Make 4 parts of it' }).check();
        await shot(page, `${size}-names-many`);
        await part.getByRole('button', { name: 'Keep it' }).click();
        await page.getByRole('link', { name: /^Piston cylinder 4/ }).waitFor();
        // What is there already is said while it is typed, with the way there.
        await page.getByRole('button', { name: '+ part' }).click();
        await part.getByRole('textbox', { name: /^Name/ }).fill('piston');
        await part.getByRole('textbox', { name: /^Position/ }).fill('cylinder 3');
        await part.getByText(/already there, in Spare engine/i).waitFor();
        await shot(page, `${size}-names-alike`);
        await follow(part.getByRole('link', { name: 'Piston, cylinder 3', exact: true }));
        await page.getByRole('heading', { level: 1, name: 'Piston, cylinder 3' }).waitFor();
        // Another like it: the same words, its own place.
        await page.getByRole('button', { name: 'another like it' }).click();
        const like = sheet(page, 'Another like Piston, cylinder 3');
        assert.equal(await like.getByRole('textbox', { name: /^Name/ }).inputValue(), 'Piston');
        assert.equal(await like.getByRole('textbox', { name: /^Position/ }).inputValue(), '');
        await like.getByRole('textbox', { name: /^Position/ }).fill('cylinder 5');
        // New in the midst of it.
        await like.getByRole('group', { name: /^Where it lies/ }).getByRole('button').first().click();
        await like.getByRole('searchbox').fill('bores of paper');
        await like.getByRole('button', { name: /new container: bores of paper/ }).click();
        const bag = sheet(page, 'New: container');
        // The next code that is free stands there; one that is taken says so.
        await bag.getByRole('textbox', { name: /^Code/ }).fill('q7');
        await bag.getByText(/Q7 is taken/).waitFor();
        await shot(page, `${size}-names-code`);
        await bag.getByRole('button', { name: 'Q8 is free' }).click();
        assert.equal(await bag.getByRole('textbox', { name: /^Code/ }).inputValue(), 'Q8');
        await clean(page, 'a hint');
        await bag.getByRole('button', { name: 'Keep it' }).click();
        await like.getByRole('group', { name: /^Where it lies/ }).getByText('Q8: bores of paper').waitFor();
        await like.getByRole('button', { name: 'Keep it' }).click();
        await page.getByRole('status').filter({ hasText: 'Kept: part.' }).waitFor();
        // What was called otherwise before reads in words, and is put back by a tap.
        for (const way of ['Arrow to the rear', 'Arrow to the front']) {
          await page.getByRole('button', { name: 'Change', exact: true }).click();
          await sheet(page, /^Piston/).getByRole('textbox', { name: /^Way round/ }).fill(way);
          await sheet(page, /^Piston/).getByRole('button', { name: 'Keep the change' }).click();
          await page.getByRole('definition').getByText(way).waitFor();
        }
        await page.getByText('History', { exact: true }).click();
        const history = page.getByRole('main').getByRole('list').filter({ has: page.getByText(/^Added/) });
        await history.getByText('Assembly: Spare engine').waitFor();
        assert.equal(/[0-9a-f]{8}-[0-9a-f]{4}|\d{4}-\d{2}-\d{2}/.test(await history.innerText()), false, 'no id and no date of a machine');
        await history.getByRole('button', { name: /^put back ?: Way round, Arrow to the rear/ }).click();
        await page.getByRole('definition').getByText('Arrow to the rear').waitFor();
        await shot(page, `${size}-names-history`);
        await clean(page, 'a history');
        // An order in other words of the same; late is late.
        await go(page, 'Stores');
        await page.getByText('late: it was due 1 June 2025').waitFor();
        // A slip of the fingers finds it, with where it is.
        await page.getByRole('searchbox', { name: /Where is/ }).fill('pitson cylinder 2');
        await page.getByRole('link').filter({ hasText: /Piston, cylinder 2\s*In the car: Spare engine/ }).waitFor();
        await page.getByRole('searchbox', { name: /Where is/ }).fill('');
        await page.getByRole('button', { name: '+ order' }).click();
        await sheet(page, 'To buy').getByRole('textbox', { name: /^What/ }).fill('spare ring');
        await sheet(page, 'To buy').getByText(/already ordered/i).waitFor();
        await sheet(page, 'To buy').getByRole('button', { name: 'Leave it' }).click();
        // Letters as large as the keeper wants them.
        await preferences(page);
        await page.getByRole('radio', { name: 'much larger' }).check();
        await page.getByRole('button', { name: 'Back', exact: true }).click();
        await fits(page, 'stores in large letters');
        await preferences(page);
        await page.getByRole('radio', { name: 'as usual' }).check();
        await page.getByRole('button', { name: 'Back', exact: true }).click();
        // Pickers say which piston.
        await go(page, 'Day');
        await page.getByRole('button', { name: 'Finding', exact: true }).click();
        const about = sheet(page, 'A finding').getByRole('group', { name: /^What it is about/ });
        await about.getByRole('button').first().click();
        await about.getByRole('searchbox').fill('piston cylinder 2');
        await about.getByRole('button', { name: /^Piston, cylinder 2/ }).first().waitFor();
        await sheet(page, 'A finding').getByRole('button', { name: 'Leave it' }).click();

        // A note from inside belongs to the assembly and to the day.
        await assembly(page, 'Spare engine');
        await page.getByRole('button', { name: 'Note', exact: true }).click();
        await sheet(page, /^Note for/).getByRole('textbox', { name: 'Note' }).fill('Number two sticks.\nWarm it first.');
        await sheet(page, /^Note for/).getByRole('button', { name: 'Keep the note' }).click();
        const notes = page.getByRole('region', { name: /^Notes/ });
        await notes.getByText('Number two sticks.').waitFor();
        await notes.scrollIntoViewIfNeeded();
        await shot(page, `${size}-names-note`);
        await fits(page, 'an assembly with notes');
        await clean(page, 'an assembly with notes');
        await follow(notes.getByRole('link', { name: /^Nell Ashdown/ }));
        // Any day is a jump away.
        const jump = page.getByLabel('Go to a day');
        const today = await jump.inputValue();
        await jump.fill('2019-02-03');
        await jump.dispatchEvent('change');
        await page.getByRole('heading', { level: 1, name: /3 February 2019/ }).waitFor();
        // And a month of any year a choice.
        await page.getByRole('combobox', { name: 'Go to a month' }).selectOption('2025-10');
        await page.getByRole('heading', { level: 1, name: /October 2025/ }).waitFor();
        await fits(page, 'a month jumped to');
        await shot(page, `${size}-names-day`);
        await jump.fill(today);
        await jump.dispatchEvent('change');
        await page.getByRole('region', { name: 'Nell Ashdown' }).getByText(/In Spare engine: Number two sticks\./).waitFor();
      });
      const kept = await call('assembly', { id: spare });
      assert.equal(kept.parts.length, 5);
      const made = [];
      for (const one of kept.parts) made.push((await call('entry', { kind: 'part', id: one.id })).made.change);
      assert.equal(new Set(made).size, 2, 'four of them are one change');
    });

    test('back leads where one came from and finds it as it was left; search too', async () => {
      await demo.at(`back-${size}`, 'child', size, async (page) => {
        const pane = () => page.evaluate(() => Math.max(...[...document.querySelectorAll('main *')].map((one) => one.scrollTop)));
        await assembly(page, 'Gearbox');
        const part = page.getByRole('region', { name: /^Parts/ }).getByRole('link').last();
        // Pictures above it come in meanwhile: where it was is read when it stands still under the finger.
        await part.scrollIntoViewIfNeeded();
        await part.click({ trial: true });
        const down = await eventually(async () => {
          const at = await pane();
          assert.ok(at > 300, `far down a long page: ${at}`);
          return at;
        });
        await follow(part);
        await page.getByText(/^Entered by/).waitFor();
        await shot(page, `${size}-back`);
        await follow(page.getByRole('link', { name: '‹ Gearbox', exact: true }));
        await page.getByRole('heading', { level: 1, name: 'Gearbox', exact: true }).waitFor();
        await eventually(async () => assert.ok(Math.abs((await pane()) - down) < 40, `as far down as it was: ${await pane()} and ${down}`));

        await go(page, 'Stores');
        const search = page.getByRole('searchbox', { name: /Where is/ });
        await search.fill('layshaft');
        const hit = page.getByRole('link').filter({ hasText: /part\s*Layshaft spindle/ }).first();
        await follow(hit);
        await page.getByText(/^Entered by/).waitFor();
        await follow(page.getByRole('link', { name: '‹ Stores', exact: true }));
        await hit.waitFor();
        assert.equal(await search.inputValue(), 'layshaft');
        await fits(page, 'stores');
      });
    });
  });
}
