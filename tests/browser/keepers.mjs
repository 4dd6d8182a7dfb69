// What two keepers do on the pages of the Keepers place to meet each other, said by role and accessible name, as in the screens'
// own file. It knows no class, no id and no file of the pages.
import { shot } from './browser.mjs';
import { clean, fits, follow, go, sheet, targets } from './screens.mjs';

/** Looks at a screen as every screen is looked at. */
export async function see(page, name) {
  await shot(page, name);
  await fits(page, name);
  await targets(page, 44);
  await clean(page, name);
}

/** Shows a ticket on the Keepers place; its text. */
export async function ticketOf(page) {
  await go(page, 'Keepers');
  await follow(page.getByRole('link', { name: 'Pair a device' }));
  await page.getByRole('heading', { level: 1, name: 'Pair a device' }).waitFor();
  await page.getByRole('button', { name: 'Show a ticket' }).click();
  const text = page.getByRole('textbox', { name: 'The ticket as text' });
  await text.waitFor();
  return text.inputValue();
}

/** Follows a ticket on the first page of an empty folder. */
export async function joinBy(page, ticket, keeper, device) {
  await page.getByRole('textbox', { name: 'Your name' }).fill(keeper);
  await page.getByRole('textbox', { name: /^What you call this device/ }).fill(device);
  await page.getByRole('textbox', { name: 'The ticket', exact: true }).fill(ticket);
  await page.getByRole('button', { name: 'Join by the ticket' }).click();
}

/** The digits that both keepers compare. */
export async function digits(page) {
  const shown = page.getByRole('status', { name: 'Digits to compare' });
  await shown.waitFor();
  return shown.innerText();
}

/** What the Keepers place tells of a keeper. */
export async function tells(page, keeper) {
  await go(page, 'Keepers');
  const who = page.getByRole('region', { name: 'Who' });
  const line = who.getByRole('listitem').filter({ has: page.getByRole('heading', { name: keeper }) });
  await line.waitFor();
  return line.innerText();
}

/** Writes a note on today's sheet. */
export async function note(page, words) {
  await go(page, 'Day');
  await page.getByRole('button', { name: 'Note' }).click();
  const form = sheet(page, /^Note for/);
  await form.getByRole('textbox', { name: 'Note' }).fill(words);
  await form.getByRole('button', { name: 'Keep the note' }).click();
  await form.waitFor({ state: 'hidden' });
}
