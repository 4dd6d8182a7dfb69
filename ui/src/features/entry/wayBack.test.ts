// An undo puts back what its own act changed, and nothing that was done since.
import { beforeEach, expect, it, vi } from 'vitest';
import { notebook } from '../../state/notebook.svelte';
import { backBy, backOnSheet, undoAdded, wayBack, wayOf } from './wayBack';

let lies: string | null;
let hours: string;
const written = vi.fn();

beforeEach(() => {
  written.mockClear();
  lies = 'B2';
  hours = '2';
  vi.spyOn(notebook, 'call').mockImplementation(((name: string, args: { fields?: unknown }) => {
    if (name === 'entry') return Promise.resolve({ form: { container: lies, name: 'Lid' }, struck: null });
    if (name === 'day') return Promise.resolve({ sheets: [{ mine: false, text: '', hours: '9' }, { mine: true, text: 'Lid off', hours }] });
    written(name, args.fields);
    return Promise.resolve({ done: true });
  }) as unknown as typeof notebook.call);
});

it('puts the field back where it is as the act left it', async () => {
  const undo = await wayBack('part', 'p1', { container: 'B1' });
  await undo();
  expect(written).toHaveBeenCalledWith('change_part', { container: 'B1' });
});

it('is refused where somebody laid it elsewhere since, and writes nothing', async () => {
  const undo = await wayBack('part', 'p1', { container: 'B1' });
  lies = 'Z9';
  await expect(undo()).rejects.toThrow('it was changed again since');
  expect(written).not.toHaveBeenCalled();
});

it('looks at the fields of its own act alone', async () => {
  const undo = await wayBack('part', 'p1', { name: 'Cover' });
  lies = 'Z9';
  await undo();
  expect(written).toHaveBeenCalledWith('change_part', { name: 'Cover' });
});

it('puts several back, the last first, or none of them', async () => {
  const ways = () => Promise.all([wayOf('part', 'p1', { name: 'Cover' }), wayOf('part', 'p2', { container: 'B1' })]);
  await backBy(await ways())();
  expect(written.mock.calls.map(([, fields]) => fields)).toEqual([{ container: 'B1' }, { name: 'Cover' }]);
  written.mockClear();
  const undo = backBy(await ways());
  lies = 'Z9';
  await expect(undo()).rejects.toThrow('it was changed again since');
  expect(written).not.toHaveBeenCalled();
});

it('strikes out what was just entered, unless somebody wrote on it since', async () => {
  const undo = await undoAdded('part:p1');
  await undo?.();
  expect(written.mock.calls.map(([name]) => name)).toEqual(['strike']);
  written.mockClear();
  const late = await undoAdded('part:p1');
  lies = 'Z9';
  await expect(late?.()).rejects.toThrow('it was changed again since');
  expect(written).not.toHaveBeenCalled();
  expect(await undoAdded('car:car')).toBeNull();
});

it('puts hours back as they were, unless others stand there since, and looks at no sheet but one’s own', async () => {
  const put = vi.fn(() => Promise.resolve());
  await (await backOnSheet('2031-03-01', 'hours', put))();
  expect(put).toHaveBeenCalledOnce();
  const undo = await backOnSheet('2031-03-01', 'hours', put);
  hours = '3';
  await expect(undo()).rejects.toThrow('it was changed again since');
  expect(put).toHaveBeenCalledOnce();
});
