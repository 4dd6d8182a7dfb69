// The two-device story in a browser: what each keeper does at the bench, the meeting by carry file, and a point settled, at a
// phone's size and a wide one. No request leaves loopback, and axe finds nothing on any screen.
import assert from 'node:assert/strict';
import { mkdir } from 'node:fs/promises';
import { join } from 'node:path';
import { after, before, describe, test } from 'node:test';
import { shot } from './browser.mjs';
import { garage, served, wholeOf, witnessmark } from './garage.mjs';
import { picture } from './pictures.mjs';
import { carryIn, carryOut, clean, eventually, fits, follow, go, inSight, mark, pick, points, preferences, sheet, targets, turnTo } from './screens.mjs';

let demo;
before(async () => {
  demo = await garage();
});
after(() => demo?.close());

for (const size of ['phone', 'wide']) {
  describe(`at the size of a ${size}`, () => {
    test('every screen: named, fitting, with large targets, clean to axe in both themes', async () => {
      await demo.at(`screens-${size}`, 'child', size, async (page) => {
        const see = async (name) => {
          await page.waitForLoadState('networkidle').catch(() => {});
          await shot(page, `${size}-${name}`);
          await fits(page, name);
          await targets(page, name === 'gloves' ? 75 : 44);
          await clean(page, name);
        };
        await page.getByRole('button', { name: /^Cars: Aunt Dilys's Tern/ }).waitFor();
        await page.getByRole('heading', { level: 1 }).waitFor();
        await see('day-today');
        await follow(page.getByRole('link', { name: /1 November 2025/ }).first());
        await page.getByRole('heading', { level: 1, name: /1 November 2025/ }).waitFor();
        await page.getByRole('region', { name: 'Nell Ashdown' }).waitFor();
        await see('day');
        await go(page, 'Car');
        await page.getByRole('link', { name: /^Gearbox apart/ }).waitFor();
        await see('car');
        await follow(page.getByRole('link', { name: /^Gearbox apart/ }));
        await page.getByRole('heading', { level: 1, name: 'Gearbox' }).waitFor();
        await see('assembly');
        await follow(page.getByRole('region', { name: 'Parts' }).getByRole('link', { name: /^Layshaft spindle/ }));
        await page.getByRole('heading', { level: 1, name: 'Layshaft spindle' }).waitFor();
        await page.getByRole('region', { name: 'Findings' }).waitFor();
        await see('part');
        await go(page, 'Car');
        await follow(page.getByRole('link', { name: /^Gearbox apart/ }));
        // Where most of its parts lie is said once, and what its trade words mean is a tap away.
        await page.getByText(/^Where nothing else is said: Gearbox is in pieces/).waitFor();
        await page.getByText(/^What it means: .*layshaft/).click();
        await page.getByText('The second shaft of the gearbox, turning with the input.').waitFor();
        await follow(page.getByRole('region', { name: 'Photos' }).getByRole('link').first());
        // The photo's page, and not the assembly's as it goes.
        const shows = await page.getByRole('heading', { level: 1 }).filter({ hasNotText: /^Gearbox$/ }).textContent();
        const photo = page.getByRole('main').getByRole('img', { name: shows, exact: true }).first();
        const window = page.viewportSize();
        for (const here of size === 'wide' ? [window, { width: 1024, height: 768 }] : [window]) {
          await page.setViewportSize(here);
          await photo.evaluate((one) => one.decode());
          const high = await inSight(photo);
          assert.ok(high >= here.height * 0.25, `${high} px of the photo are in sight at ${here.width} by ${here.height}`);
        }
        await page.setViewportSize(window);
        await see('photo');
        await go(page, 'Bench');
        await page.getByRole('link', { name: /^Ring gap The/ }).waitFor();
        await see('bench');
        await go(page, 'Stores');
        await page.getByRole('searchbox', { name: /Where is/ }).fill('layshaft');
        await page.getByRole('status').filter({ hasText: /\d+ found/ }).waitFor();
        await page.getByText('Layshaft spindle', { exact: true }).first().waitFor();
        await see('stores');
        await go(page, 'Keepers');
        await page.getByRole('region', { name: 'Who' }).waitFor();
        await page.getByRole('region', { name: 'How the record stands here' }).waitFor();
        await see('keepers');
        await page.getByRole('button', { name: /Cars/ }).click();
        await sheet(page, 'Cars on this device').waitFor();
        await see('cars');
        await page.getByRole('button', { name: 'Back' }).click();
        await (await preferences(page)).waitFor();
        await see('preferences');
        await page.getByRole('radio', { name: /gloves on/ }).check();
        await page.getByRole('button', { name: 'Back' }).click();
        await turnTo(page, '#/day');
        await page.getByRole('button', { name: 'Note' }).waitFor();
        await see('gloves');
      });
    });

    test('the bench answers while typing, asks where it is not certain, and says its source', async () => {
      await demo.at(`bench-${size}`, 'child', size, async (page) => {
        await go(page, 'Bench');
        await follow(page.getByRole('link', { name: /^Ring gap The/ }));
        await page.getByRole('textbox', { name: /^the bore/ }).fill('3 in');
        // The least gap for road use is 0.0040 of the bore: 3 in are 76.2 mm, and 0.0040 of that 0.3048 mm.
        const answer = page.getByRole('main');
        await answer.getByText('0.305 mm').first().waitFor();
        await page.getByRole('textbox', { name: /^the gap as measured/ }).fill('0.22');
        await page.getByRole('button', { name: /^0.22 mm/ }).click();
        await answer.getByText('below limits').waitFor();
        await answer.getByRole('heading', { name: 'Source' }).waitFor();
        await shot(page, `${size}-ring-gap`);
        await fits(page, 'ring gap');
        await clean(page, 'ring gap');
        for (const [calculation, field, typed] of [['Displacement and compression What', /^the bore/, '77 mm'], ['Fastener torque A', /^the torque in the manual/, '40 lb-ft']]) {
          await go(page, 'Bench');
          await follow(page.getByRole('link', { name: new RegExp(`^${calculation}`) }));
          await page.getByRole('textbox', { name: field }).fill(typed);
          if (calculation.startsWith('Displacement')) {
            await page.getByRole('textbox', { name: /^the stroke/ }).fill('64 mm');
            await page.getByRole('textbox', { name: /^the number of cylinders/ }).fill('4');
            // π/4 · 7.7² · 6.4 · 4 cm³ = 1192.1 cm³.
            await answer.getByText(/1192(\.\d)? cm³|1,192/).first().waitFor();
          } else {
            // 40 lbf·ft = 54.23 N·m (1 lbf·ft = 1.3558179483314004 N·m, NIST SP 811).
            await answer.getByText(/54\.2\d* N·m/).first().waitFor();
          }
          await shot(page, `${size}-${calculation.split(' ')[0].toLowerCase()}`);
          await clean(page, calculation);
        }
      });
    });

    test('two devices: capture, close-up, meeting, a point settled, equal marks', async () => {
      const child = await demo.copy(`child-${size}`, 'child');
      const parent = await demo.copy(`parent-${size}`, 'parent');
      const carried = join(demo.folder, `carried-${size}`);
      // By file only: once each knows the other's key they would meet by themselves.
      for (const folder of [child, parent]) await witnessmark('call', 'live', JSON.stringify({ on: false }), '--at', folder);
      await mkdir(carried);
      await served(child, `child-${size}`, size, async (nell) => {
        await served(parent, `parent-${size}`, size, async (wilf) => {
          await nell.getByRole('button', { name: 'Note' }).click();
          await sheet(nell, /^Note for/).getByRole('textbox', { name: 'Note' }).fill('Looked at the gearbox lid again by torchlight.');
          await clean(nell, 'note');
          await sheet(nell, /^Note for/).getByRole('button', { name: 'Keep the note' }).click();
          await nell.getByRole('region', { name: 'Nell Ashdown' }).getByText('by torchlight').waitFor();

          await nell.getByLabel('Photo', { exact: true }).setInputFiles({ name: 'bench.png', mimeType: 'image/png', buffer: picture(size.length) });
          const shows = sheet(nell, 'What does it show?');
          await pick(shows, 'An assembly or a part', 'gearbox lid', /^Gearbox lid and selectors/);
          await shows.getByRole('radio', { name: 'during' }).check();
          await shows.getByRole('textbox', { name: 'What is to be seen' }).fill('The slot for the tab, seen from the rear');
          await clean(nell, 'what does it show');
          await shot(nell, `${size}-photo-shows`);
          await shows.getByRole('button', { name: 'Keep it so' }).click();
          await sheet(nell, 'Anything to go with it?').getByRole('button', { name: 'A finding' }).click();
          await sheet(nell, 'A finding').getByRole('textbox', { name: /^What was seen/ }).fill('A burr on the slot for the tab');
          await sheet(nell, 'A finding').getByRole('radio', { name: 'to mend' }).check();
          await sheet(nell, 'A finding').getByRole('button', { name: 'Keep it' }).click();
          await nell.getByRole('link', { name: /A burr on the slot for the tab/ }).waitFor();
          const burr = { name: 'The slot for the tab, seen from the rear' };
          await nell.getByRole('img', burr).waitFor();
          // A photo that became a finding is found from the finding, and so is one that is taken there.
          await follow(nell.getByRole('link', { name: /A burr on the slot for the tab/ }));
          await nell.getByRole('heading', { level: 1, name: 'A burr on the slot for the tab' }).waitFor();
          const seenOn = nell.getByRole('region', { name: 'Photos' });
          await seenOn.getByRole('img', burr).waitFor();
          await seenOn.getByLabel('+ photo').setInputFiles({ name: 'closer.png', mimeType: 'image/png', buffer: picture(size.length + 7) });
          await sheet(nell, 'What does it show?').getByRole('textbox', { name: 'What is to be seen' }).fill('The burr from nearer');
          await sheet(nell, 'What does it show?').getByRole('button', { name: 'Keep it so' }).click();
          await sheet(nell, 'Anything to go with it?').getByRole('button', { name: 'No, done' }).click();
          await seenOn.getByRole('img', { name: 'The burr from nearer' }).waitFor();
          await shot(nell, `${size}-finding-photos`);
          await go(nell, 'Day');

          await nell.getByRole('button', { name: 'Finding', exact: true }).click();
          await pick(sheet(nell, 'A finding'), /^What it is about/, 'front brakes', /^Front brakes/);
          await sheet(nell, 'A finding').getByRole('textbox', { name: /^What was seen/ }).fill('Fluid on the left lining');
          await sheet(nell, 'A finding').getByRole('radio', { name: 'danger' }).check();
          await clean(nell, 'a finding');
          await shot(nell, `${size}-finding`);
          await sheet(nell, 'A finding').getByRole('button', { name: 'Keep it' }).click();
          await nell.getByRole('link', { name: /Fluid on the left lining/ }).waitFor();

          await nell.getByRole('button', { name: 'Part', exact: true }).click();
          await sheet(nell, 'A part').getByRole('button', { name: 'Keep it' }).click();
          await sheet(nell, 'A part').getByRole('alert').getByText(/Still wanted: name/).waitFor();
          await sheet(nell, 'A part').getByRole('textbox', { name: /^Name/ }).fill('Egg box of selector balls');
          await pick(sheet(nell, 'A part'), /^Assembly/, 'gearbox lid', /^Gearbox lid and selectors/);
          await sheet(nell, 'A part').getByRole('textbox', { name: /^Way round/ }).fill('Springs up');
          await sheet(nell, 'A part').getByRole('button', { name: 'Keep it' }).click();
          await nell.getByRole('link', { name: /Egg box of selector balls/ }).waitFor();
          await shot(nell, `${size}-day-captured`);

          // What stands in the way is there before anything can be pressed.
          await go(nell, 'Car');
          await follow(nell.getByRole('link', { name: /^Gearbox lid and selectors apart/ }).first());
          await nell.getByRole('heading', { level: 1, name: 'Gearbox lid and selectors' }).waitFor();
          const closeUp = nell.getByRole('region', { name: 'Close up' });
          // Far from closing it is a line; all of it is a tap away.
          await closeUp.getByText(/: \d+ · /).click();
          const notYet = closeUp.getByRole('button', { name: /^Not yet: \d+ things? in the way/ });
          assert.ok(await notYet.isDisabled());
          const over = closeUp.getByRole('checkbox');
          const open = Number(/\d+/.exec(await notYet.innerText())?.[0]);
          assert.ok(open > 1, 'the demo leaves more than one thing open in there');
          await over.first().check();
          assert.ok(await closeUp.getByRole('button', { name: /^Not yet/ }).isDisabled(), 'a waiver without a reason waives nothing');
          await closeUp.getByRole('textbox').first().fill('Only a look inside, it comes off again');
          await closeUp.getByRole('button', { name: new RegExp(`^Not yet: ${open - 1} thing`) }).waitFor();
          assert.ok(await closeUp.getByRole('button', { name: /^Not yet/ }).isDisabled());
          await shot(nell, `${size}-close-up`);
          await over.first().uncheck();

          // They meet: hers to him, his to her.
          const before = [await mark(nell), await mark(wilf)];
          assert.notEqual(before[0], before[1]);
          const hers = await carryOut(nell, /^Carry out for Wilf Ashdown/, join(carried, 'hers.carry'), { open: true });
          assert.match(await carryIn(wilf, hers, { newcomer: /of Nell Ashdown/ }), /Nell Ashdown brought \d+ entries and \d+ photo/);
          await shot(wilf, `${size}-met`);
          await clean(wilf, 'met');
          const his = await carryOut(wilf, /^Carry out for Nell Ashdown/, join(carried, 'his.carry'), { passphrase: 'a lathe and a kettle' });
          assert.match(await carryIn(nell, his, { passphrase: 'a lathe and a kettle', newcomer: /of Wilf Ashdown/ }), /Wilf Ashdown brought \d+ entries/);
          await eventually(async () => assert.equal(await mark(nell), await mark(wilf), 'equal marks after the meeting'));
          const both = await eventually(async () => {
            const listed = [await points(nell), await points(wilf)];
            assert.deepEqual(listed[0], listed[1], 'the same points in the same order');
            return listed;
          });
          assert.ok(both[0].length >= 5, `the demo shows every rule: ${both[0].length} points`);
          for (const rule of [/Two values/, /over an open job/, /over an open hold point/, /One code/, /Two orders/]) {
            assert.ok(both[0].some((line) => rule.test(line)), `a point of ${rule}`);
          }

          // Her file again changes nothing.
          assert.match(await carryIn(wilf, hers), /nothing that was not here already/);

          // One disagreement is one line, in whole words: a decision and its reason, a limit and its page.
          const listed = (what) => both[1].filter((line) => line.includes(what));
          for (const what of ['Control box: cut-out and regulator', 'Layshaft cluster end float']) assert.equal(listed(what).length, 1, `${listed(what)}`);
          assert.match(listed('Control box')[0], /recondition or replace\?/);
          for (const line of both[1]) assert.doesNotMatch(line, /…|'high'|decision why/, 'no raw field and no cut title');

          // He settles one, in two taps: the decision and its reason together, and is told what is left to do.
          await follow(wilf.getByRole('region', { name: /^Points to settle/ }).getByRole('link', { name: /Control box/ }));
          await wilf.getByText('could not know of the other entry').first().waitFor();
          const main = wilf.getByRole('main');
          assert.equal(await main.getByText(/^(In my picture from the bulkhead|Opened it\. Contacts black)/).count(), 2, 'both reasons beside the decisions');
          await clean(wilf, 'point');
          await shot(wilf, `${size}-point`);
          // Later, and asked of her: a line on his sheet of today, which she reads when they meet.
          await wilf.getByRole('button', { name: 'Ask Nell Ashdown first' }).click();
          await wilf.getByRole('status').filter({ hasText: 'Written on your sheet of today' }).waitFor();
          const choices = wilf.getByRole('group', { name: 'How it is settled' });
          await choices.getByRole('button', { name: 'Keep: replace' }).click();
          await shot(wilf, `${size}-point-chosen`);
          await wilf.getByRole('button', { name: 'Settle it so' }).click();
          await wilf.getByRole('status').filter({ hasText: 'Settled. The lines meet.' }).waitFor();
          await main.getByText(/^See that Control box.* is on order/).waitFor();
          await clean(wilf, 'settled');
          await shot(wilf, `${size}-point-settled`);
          // The next one without going back, and what was agreed.
          await follow(wilf.getByRole('link', { name: `Next of ${both[1].length - 1}` }));
          await wilf.getByRole('group', { name: 'How it is settled' }).waitFor();
          await go(wilf, 'Keepers');
          await follow(wilf.getByRole('link', { name: /^What was agreed, and why/ }));
          const agreed = main.getByRole('listitem').filter({ hasText: 'Decision: replace' });
          await agreed.getByText(/^Decision: replace; Why so: In my picture/).waitFor();
          await clean(wilf, 'agreed');
          await shot(wilf, `${size}-agreed`);
          await eventually(async () => assert.equal((await points(wilf)).length, both[1].length - 1));
          await eventually(async () => assert.notEqual(await mark(nell), await mark(wilf)));
          const settled = await carryOut(wilf, /^Carry out for Nell Ashdown/, join(carried, 'settled.carry'), { passphrase: 'a lathe and a kettle' });
          await carryIn(nell, settled, { passphrase: 'a lathe and a kettle' });
          const answer = await carryOut(nell, /^Carry out for Wilf Ashdown/, join(carried, 'answer.carry'));
          await carryIn(wilf, answer);
          await eventually(async () => assert.deepEqual(await points(nell), await points(wilf)));
          await eventually(async () => assert.equal(await mark(nell), await mark(wilf), 'equal marks after the settlement'));
          await wilf.getByRole('link', { name: /^Both have everything/ }).waitFor();
          await shot(nell, `${size}-settled`);
        });
      });
      // The programs agree with what the screens said.
      const digests = [await witnessmark('digest', '--at', child), await witnessmark('digest', '--at', parent)];
      assert.deepEqual(digests[0], digests[1]);
    });

    test('an empty folder: a car is started, another joined, and both are kept', async () => {
      const folder = join(demo.folder, `empty-${size}`);
      await mkdir(folder);
      const whole = join(demo.folder, `whole-${size}.carry`);
      await wholeOf(await demo.copy(`whole-${size}`, 'child'), whole);
      await served(folder, `empty-${size}`, size, async (page) => {
        await page.getByRole('heading', { name: 'Witnessmark' }).waitFor();
        await shot(page, `${size}-start`);
        await fits(page, 'start');
        await clean(page, 'start');
        await page.getByRole('button', { name: 'Start the record' }).click();
        await page.getByRole('alert').waitFor();
        await page.getByRole('textbox', { name: 'Your name' }).fill('Zoë Łuczak');
        await page.getByRole('textbox', { name: 'What you call the car' }).fill('The green one');
        await page.getByRole('button', { name: 'Start the record' }).click();
        await page.getByRole('button', { name: /^Cars: The green one/ }).waitFor();
        await page.getByRole('region', { name: 'Zoë Łuczak' }).waitFor();
        await go(page, 'Car');
        await page.getByText('Walk round the car once').waitFor();
        await shot(page, `${size}-car-empty`);
        await page.getByRole('button', { name: /Cars/ }).click();
        await page.getByRole('button', { name: /start or join another car/ }).click();
        const cars = sheet(page, 'Cars on this device');
        await cars.getByLabel('The carry file').setInputFiles(whole);
        await cars.getByRole('button', { name: 'Join the record' }).click();
        await page.getByRole('button', { name: /^Cars: Aunt Dilys's Tern/ }).waitFor();
        await go(page, 'Keepers');
        await page.getByRole('heading', { name: /Zoë Łuczak/ }).waitFor();
        await page.getByRole('button', { name: /Cars/ }).click();
        await cars.getByRole('button', { name: /The green one/ }).click();
        await page.getByRole('button', { name: /^Cars: The green one/ }).waitFor();
      });
    });
  });
}
