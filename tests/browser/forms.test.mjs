// Every form of every kind: each field is filled in, kept, opened and read back, then changed and read back again. A form that
// cannot be kept, or a field that is lost on its way, fails here by its name; and so does a kind whose form nobody opens.
import assert from 'node:assert/strict';
import { after, before, describe, test } from 'node:test';
import { asked, fill, KINDS, reads, shows, unfold } from './forms.mjs';
import { garage, served, witnessmark } from './garage.mjs';
import { shot } from './browser.mjs';
import { picture } from './pictures.mjs';
import { clean, fits, follow, go, sheet, turnTo } from './screens.mjs';

let demo;
before(async () => {
  demo = await garage();
});
after(() => demo?.close());

const PLACES = { container: 'stores', order: 'stores', keeper: 'keepers', device: 'keepers', instrument: 'bench', limit: 'bench' };
const region = (page, name) => page.getByRole('region', { name });
const press = (page, name) => page.getByRole('button', { name, exact: true }).click();

const addressOf = (kind, id) => (kind === 'car' ? '#/car' : `#/${PLACES[kind] ?? 'car'}/${kind}:${id}`);

async function at(page, address) {
  await turnTo(page, address);
}

async function captured(page, name) {
  await go(page, 'Day');
  if (name !== 'Finding' && name !== 'Part') await press(page, 'More to capture');
  await press(page, name);
}

async function assemblyPage(page) {
  await go(page, 'Car');
  await follow(page.getByRole('link', { name: /^Gearbox apart/ }));
  await page.getByRole('heading', { level: 1, name: 'Gearbox' }).waitFor();
}

/** How the sheet is reached that adds one of a kind. What has none here is only changed, or added by something else than a form. */
const ADDS = {
  assembly: async (page) => (await go(page, 'Car'), press(page, '+ assembly')),
  part: (page) => captured(page, 'Part'),
  finding: (page) => captured(page, 'Finding'),
  job: (page) => captured(page, 'Job'),
  reading: (page) => captured(page, 'Reading'),
  order: (page) => captured(page, 'To buy'),
  hold_point: (page) => captured(page, 'Hold point'),
  container: async (page) => (await go(page, 'Stores'), press(page, '+ container')),
  instrument: async (page) => (await go(page, 'Bench'), press(page, '+ instrument')),
  limit: async (page) => (await go(page, 'Bench'), press(page, '+ limit')),
  try: async (page) => (await assemblyPage(page), region(page, /^Jobs/).getByRole('button', { name: '+ try' }).first().click()),
  tightening_run: async (page) => (await assemblyPage(page), press(page, 'Tighten in order')),
};
/** What is changed and not added here: where one is, among those of the folder. */
const CHANGED = ['car', 'keeper', 'device', 'photo'];

/** Opens the form that changes one. */
async function change(page, kind, id) {
  await at(page, addressOf(kind, id));
  await page.getByRole('heading', { level: 1 }).first().waitFor();
  const words = { assembly: 'Change name, place, notes', tightening_run: 'Change the run' }[kind] ?? 'Change';
  await page.getByRole('main').getByRole('button', { name: words, exact: true }).click();
  return open(page);
}

/** The form in the sheet that is open, unfolded. */
async function open(page) {
  const form = page.getByRole('dialog').locator('form');
  await unfold(form);
  return form;
}

/** Keeps what is in the form: the sheet closes, and the answer of the notebook is what was made. */
async function keep(page, form, command) {
  const answered = page.waitForResponse((response) => response.request().postData()?.includes(`"name":"${command}"`) ?? false);
  await page.getByRole('dialog').getByRole('button', { name: /^(Keep|Begin)/ }).click();
  const told = await Promise.race([answered.then(() => ''), form.getByRole('alert').innerText()]);
  assert.equal(told, '', `${command} is not even sent`);
  const { reply, refusal } = await (await answered).json();
  assert.equal(refusal, undefined, `${command}: ${refusal?.words}`);
  await page.getByRole('dialog').waitFor({ state: 'hidden' });
  return reply.id;
}

/** What the form of readings asks for besides the fields: how it was measured, and the same point once more. */
const BESIDES = { reading: 2 };

async function again(form, round) {
  const name = 'Measured again, 2';
  if ((await form.getByRole('textbox', { name }).count()) === 0) await form.getByRole('button', { name: '+ measured again' }).click();
  const typed = ['0.31 mm', '13 thou'][round];
  await form.getByRole('textbox', { name }).fill(typed);
  return typed;
}

for (const size of ['phone', 'wide']) {
  describe(`at the size of a ${size}`, () => {
    for (const kind of [...Object.keys(ADDS), ...CHANGED]) {
      test(`${KINDS[kind].said}: every field is filled in, kept, read back, changed and read back`, async () => {
        const folder = await demo.copy(`forms-${kind}-${size}`, 'child');
        const first = CHANGED.includes(kind) && kind !== 'car' && kind !== 'photo' ? await witnessmark('call', 'list', JSON.stringify({ kind }), '--at', folder) : [];
        await served(folder, `forms-${kind}-${size}`, size, async (page) => {
          await page.getByRole('heading', { level: 1 }).waitFor();
          let id = kind === 'car' ? 'car' : first[0]?.name.split(':')[1];
          let form;
          if (kind === 'photo') {
            const kept = page.waitForResponse((response) => response.request().postData()?.includes('"name":"add_photo"') ?? false);
            await page.getByLabel('Photo', { exact: true }).setInputFiles({ name: 'bench.png', mimeType: 'image/png', buffer: picture(7) });
            id = (await (await kept).json()).reply.id;
            await sheet(page, 'What does it show?').getByRole('button', { name: 'Later' }).first().click();
          }
          if (ADDS[kind]) {
            await ADDS[kind](page);
            form = await open(page);
          } else form = await change(page, kind, id);

          let title = '';
          for (const round of [0, 1]) {
            if (round > 0) form = await change(page, kind, id);
            const measured = kind === 'reading' ? await again(form, round) : '';
            const fields = await asked(form, kind, BESIDES[kind] ?? 0);
            const said = await fill(form, kind, fields, round, title);
            if (size === 'phone' || kind === 'reading') await fits(page, `the form of a ${kind}`);
            if (round === 0) {
              await shot(page, `${size}-form-${kind}`);
              await clean(page, `the form of a ${kind}`);
            }
            const adds = ADDS[kind] && round === 0;
            const made = await keep(page, form, `${adds ? 'add' : 'change'}_${kind}`);
            id ??= made;
            // An assembly and a run have pages of their own, which say of their fields what a bench wants.
            if (kind !== 'assembly' && kind !== 'tightening_run') {
              await at(page, addressOf(kind, id));
              await shows(page, kind, said);
            }
            form = await change(page, kind, id);
            await reads(form, kind, said);
            if (measured) assert.equal(await form.getByRole('textbox', { name: 'Measured again, 2' }).inputValue(), measured);
            await page.getByRole('dialog').getByRole('button', { name: 'Leave it' }).click();
            title = await page.getByRole('heading', { level: 1 }).last().innerText();
          }
        });
      });
    }

    test('a reading becomes a grid, and each point of it is read back', async () => {
      await demo.at(`forms-grid-${size}`, 'child', size, async (page) => {
        await ADDS.reading(page);
        let form = await open(page);
        await form.getByRole('radio', { name: 'a grid' }).check();
        const fields = await asked(form, 'reading', 2 + 3 + 2 + 6);
        assert.ok(fields.every((field) => field.name !== 'value'), 'a grid has no value of its own');
        const said = await fill(form, 'reading', fields, 0);
        const points = form.getByRole('textbox', { name: /^(top|middle|bottom), / });
        assert.equal(await points.count(), 6);
        for (let at = 0; at < 6; at += 1) await points.nth(at).fill(`76.2${at}`);
        const id = await keep(page, form, 'add_reading');
        form = await change(page, 'reading', id);
        await reads(form, 'reading', said);
        const back = form.getByRole('textbox', { name: /^(top|middle|bottom), / });
        assert.deepEqual(await back.evaluateAll((all) => all.map((one) => one.value)), [0, 1, 2, 3, 4, 5].map((at) => `76.2${at} mm`));
      });
    });
  });
}

test('no kind that a form changes is left out here', () => {
  // Kinds that are written otherwise than by a form: by the sheet itself, closing up, settling, the bench, a run's own page.
  const otherwise = ['sheet', 'waiver', 'settlement', 'kept_answer', 'tightened'];
  assert.deepEqual([...Object.keys(ADDS), ...CHANGED, ...otherwise].sort(), Object.keys(KINDS).sort());
});

describe('what is still wanted', () => {
  test('is marked on lists too, and an error stands at its field, in the form’s words and under the fingers', async () => {
    const nell = await demo.copy('wanted', 'child');
    await served(nell, 'wanted', 'phone', async (page) => {
      await page.getByRole('heading', { level: 1 }).waitFor();
      const focused = (control) => control.evaluate((one) => one === document.activeElement);
      // A list of words of which one is needed says so.
      await captured(page, 'To buy');
      await sheet(page, 'To buy').getByRole('group', { name: 'State · needed' }).waitFor();
      await press(page, 'Leave it');
      // The value of a reading is between its fields: told there, and focused.
      await captured(page, 'Reading');
      const form = sheet(page, 'A reading');
      await form.getByRole('textbox', { name: /^What/ }).fill('End float');
      const about = form.getByRole('group', { name: /^What it is about/ });
      await about.getByRole('button').first().click();
      await about.getByRole('searchbox').fill('gearbox');
      await about.getByRole('button', { name: /^Gearbox/ }).first().click();
      await form.getByRole('button', { name: 'Keep it' }).click();
      const value = form.getByRole('textbox', { name: /^Reading/ });
      await form.getByRole('alert').getByText(/^Still wanted: reading\.$/i).waitFor();
      assert.equal(await value.getAttribute('aria-invalid'), 'true', 'the field says that it is wrong');
      assert.ok(await focused(value), 'the field is under the fingers');
      const [told, field] = [await form.getByRole('alert').boundingBox(), await value.boundingBox()];
      assert.ok(Math.abs(told.y - field.y - field.height) < 40, `told right at the field: ${told.y} under ${field.y + field.height}`);
      await shot(page, 'wanted-reading');
      await clean(page, 'a reading that wants its value');
      await press(page, 'Leave it');
      // A note of nothing.
      await press(page, 'Note');
      const note = sheet(page, /^Note for/);
      await note.getByRole('button', { name: 'Keep the note' }).click();
      await note.getByRole('alert').getByText('There is nothing in it yet.').waitFor();
      assert.ok(await focused(note.getByRole('textbox', { name: 'Note' })));
    });
  });
});
