// A form as a person fills it in: every field that the table of kinds has, found by its label, with a value of its shape; and what
// the form and the page of an entry say afterwards. It takes labels and shapes from the generated table, and no name of a class.
import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { HOUSE } from './browser.mjs';
import { eventually } from './screens.mjs';

const source = readFileSync(join(HOUSE, 'ui/src/generated/fields.ts'), 'utf8');
const constant = (name) => JSON.parse(new RegExp(`export const ${name} = (\\{[\\s\\S]*?\\n\\}) as const`).exec(source)[1]);
/** Every kind with its fields. */
export const KINDS = constant('KINDS');
const SETS = constant('SETS');

/** What is typed for a field of each shape, the first time and the second; `page` is what the entry's page then says of it, `kept` what a form does. */
const TYPED = {
  whole: [{ typed: '12' }, { typed: '16' }],
  day: [{ typed: '14.3.31', kept: '14 March 2031', page: '14 March 2031' }, { typed: '2 Apr 2031', kept: '2 April 2031', page: '2 April 2031' }],
  measure: [{ typed: '0.30 mm' }, { typed: '12 thou' }],
  money: [{ typed: '£12.50', kept: 'GBP 12.50', page: '£12.50' }, { typed: '13.75 GBP', kept: 'GBP 13.75', page: '£13.75' }],
};
/** Fields whose text means something. */
const OWN = {
  'job.not_before_time': [{ typed: '18:30' }, { typed: '7:05' }],
  'container.code': [{ typed: 'Y71' }, { typed: 'Y72' }],
  'reading.temperature': [{ typed: '18 °C' }, { typed: '21.5 °C' }],
  'tightening_run.torque': [{ typed: '60 N·m' }, { typed: '44 lbf·ft' }],
  'tightening_run.passes': [{ typed: '40, 80, 100' }, { typed: '50, 100' }],
  'tightening_run.rows': [{ typed: '2' }, { typed: '4' }],
};
const asText = (kind, name, round) =>
  (OWN[`${kind}.${name}`] ?? TYPED[KINDS[kind].fields[name].shape] ?? [0, 1].map((at) => ({ typed: `${KINDS[kind].fields[name].label}, as a ${KINDS[kind].said} has it ${at + 1}` })))[round];

/** A label may have `· needed` behind it. */
const labelled = (label) => new RegExp(`^${label.replace(/[.*+?^${}()|[\]\\]/g, '\\$&')}( · needed)?$`);

const control = (form, { label, shape }) => {
  const name = labelled(label);
  if (['word', 'link', 'about', 'lies', 'set'].includes(shape)) return form.getByRole('group', { name });
  return shape === 'flag' ? form.getByRole('checkbox', { name }) : form.getByLabel(name);
};

/** Unfolds whatever a form keeps back at first. */
export async function unfold(form) {
  // What keeps it lies at the foot of its sheet, under the thumb.
  await form.page().getByRole('dialog').getByRole('button', { name: /^(Keep|Begin)/ }).waitFor();
  const more = form.getByRole('button', { name: '+ more about it' });
  if (await more.isVisible()) await more.click();
  const folded = form.getByText('More about it', { exact: true });
  if ((await folded.count()) > 0 && !(await folded.evaluate((one) => one.parentElement.open))) await folded.click();
}

/** The fields of a kind that the form asks for. Each control of the form is one of them, or among `besides`. */
export async function asked(form, kind, besides = 0) {
  const found = [];
  for (const [name, def] of Object.entries(KINDS[kind].fields)) {
    const count = await control(form, def).count();
    assert.ok(count <= 1, `${kind}: ${count} controls are called '${def.label}'`);
    if (count === 1) found.push({ name, ...def });
  }
  const controls = await form.evaluate((form) => form.querySelectorAll('input:not([type=radio]):not([type=search]):not([type=date]):not([hidden]), textarea, [role=group], fieldset').length);
  assert.equal(controls, found.length + besides, `${kind}: every control of the form is a field of the table: ${found.map((one) => one.name)}`);
  return found;
}

/** Picks what stands at a place of a list, and says what it is; never the entry itself. */
async function pickAt(group, at, itself) {
  if (!(await group.getByRole('searchbox').isVisible())) await group.getByRole('button').last().click();
  const options = group.getByRole('button', { pressed: false }).and(group.locator(':scope [aria-pressed]'));
  const names = await options.evaluateAll((all) => all.map((one) => one.firstElementChild.textContent));
  const wanted = names.map((name, place) => ({ name, place })).filter(({ name }) => name !== itself);
  assert.ok(wanted.length > at, `there is something to pick: ${names.length}`);
  await options.nth(wanted[at].place).click();
  return wanted[at].name;
}

/** Fills every field; what each is expected to say. `itself` is what the entry is called. */
export async function fill(form, kind, fields, round, itself = '') {
  const said = [];
  for (const field of fields) {
    const one = control(form, field);
    const { name, shape } = field;
    if (shape === 'word') {
      const words = Object.values(SETS[field.set]);
      const word = words[round % words.length];
      await one.getByRole('radio', { name: word, exact: true }).check();
      said.push({ ...field, kept: word, page: word });
    } else if (shape === 'flag') {
      await one.setChecked(round === 0);
      said.push({ ...field, kept: round === 0, page: round === 0 ? 'yes' : 'no' });
    } else if (shape === 'link' || shape === 'about' || shape === 'lies' || shape === 'set') {
      const before = shape === 'set' ? await members(form, field) : [];
      const picked = await pickAt(one, round, itself);
      const kept = shape === 'set' ? [...before, picked] : picked;
      said.push({ ...field, kept, page: kept });
    } else {
      const { typed, kept = typed, page = typed } = asText(kind, name, round);
      await one.fill(typed);
      said.push({ ...field, kept, page });
    }
  }
  return said;
}

/** What a set field holds, by the buttons that take each out again. */
async function members(form, field) {
  const list = control(form, field).locator('xpath=preceding-sibling::ul[1]');
  const words = await list.getByRole('button', { name: /^take out/ }).allTextContents();
  return words.map((word) => word.replace(/\s+/g, ' ').trim().replace(/^take out ?/, ''));
}

/** What a control says now. */
async function says(form, field) {
  const one = control(form, field);
  if (field.shape === 'word') {
    const chosen = one.locator('label:has(:checked)');
    return (await chosen.count()) === 0 ? '' : (await chosen.innerText()).trim();
  }
  if (field.shape === 'flag') return one.isChecked();
  if (field.shape === 'set') return (await members(form, field)).sort();
  if (field.shape === 'link' || field.shape === 'about' || field.shape === 'lies') return (await one.getByRole('button').first().locator('span').first().innerText()).trim();
  return one.inputValue();
}

/** A form that was opened again says what was kept. */
export async function reads(form, kind, said) {
  for (const field of said) {
    const expected = Array.isArray(field.kept) ? [...field.kept].sort() : field.kept;
    assert.deepEqual(await says(form, field), expected, `${kind}: the form says of '${field.label}'`);
  }
}

/** The page of an entry says what was kept: as its title, or beside the field's label. */
export async function shows(page, kind, said) {
  await eventually(async () => {
    const rows = await page.locator('main dl > div').evaluateAll((all) => all.map((row) => [row.querySelector('dt')?.textContent?.trim(), row.querySelector('dd')?.textContent?.replace(/\s+/g, ' ').trim()]));
    const titles = await page.getByRole('heading', { level: 1 }).allInnerTexts();
    const prose = await page.locator('main p.prose').allInnerTexts();
    for (const { label, page: expected } of said) {
      const texts = rows.filter(([name]) => name === label).map(([, text]) => text ?? '');
      const all = [expected].flat();
      const found = all.every((one) => titles.includes(one) || prose.includes(one) || texts.some((text) => text.includes(one)));
      assert.ok(found, `${kind}: '${label}' should read '${all}', and reads '${texts}'; the titles are '${titles}'`);
    }
  });
}
