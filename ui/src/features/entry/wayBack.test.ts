// An undo puts back what its own act changed, and nothing that was done since.
import { beforeEach, expect, it, vi } from 'vitest';
import { notebook } from '../../state/notebook.svelte';
import { wayBack } from './wayBack';

let lies: string | null;
const written = vi.fn();

beforeEach(() => {
  written.mockClear();
  lies = 'B2';
  vi.spyOn(notebook, 'call').mockImplementation(((name: string, args: { fields?: unknown }) => {
    if (name === 'entry') return Promise.resolve({ form: { container: lies, name: 'Lid' } });
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
