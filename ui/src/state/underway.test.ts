// Long work: told by patches that change nothing that a page shows, stopped by its number, and gone when it is over.
import { beforeEach, expect, it, vi } from 'vitest';
import type { Face } from '../faces/face';
import type { Patch } from '../generated/wire';

const work = (number: number, says: string, over = false): Patch => ({
  record: 'r1',
  touched: [],
  marks: [],
  points: false,
  underway: { number, name: 'carry_out', says, can_be_stopped: true, over },
});

let tell: (patch: Patch) => void = () => {};
let way: (open: boolean) => void = () => {};
const asked = vi.fn();

async function opened() {
  vi.resetModules();
  const { notebook } = await import('./notebook.svelte');
  const face = {
    call: (request: { name: string }) => {
      asked(request);
      const reply = request.name === 'underway' || request.name === 'records' ? [] : { done: true };
      return Promise.resolve({ reply, looked_at: null });
    },
    watch: (patch: (patch: Patch) => void, open: (open: boolean) => void) => {
      tell = patch;
      way = open;
    },
  };
  await notebook.open(face as unknown as Face);
  return notebook;
}

beforeEach(() => asked.mockClear());

it('is shown as it was told last, and is gone when it is over', async () => {
  const notebook = await opened();
  tell(work(1, 'changes written: 3 of 9'));
  tell(work(2, 'entries: 1 of 4'));
  tell(work(1, 'changes written: 8 of 9'));
  expect(notebook.underway.map((line) => line.says).sort()).toEqual(['changes written: 8 of 9', 'entries: 1 of 4']);
  tell(work(1, '', true));
  expect(notebook.underway.map((line) => line.number)).toEqual([2]);
});

it('is no patch to any page, and asks for nothing again', async () => {
  const notebook = await opened();
  const heard = vi.fn();
  notebook.listen(heard);
  asked.mockClear();
  tell(work(1, 'changes written: 3 of 9'));
  expect(heard).not.toHaveBeenCalled();
  expect(asked).not.toHaveBeenCalled();
});

it('is stopped by its number', async () => {
  const notebook = await opened();
  notebook.stop(7);
  expect(asked).toHaveBeenCalledWith(expect.objectContaining({ name: 'stop', args: { number: 7 } }));
});

it('is asked for once the way to the notebook is found again', async () => {
  const notebook = await opened();
  way(true);
  tell(work(1, 'changes written: 3 of 9'));
  way(false);
  way(true);
  await vi.waitFor(() => expect(notebook.underway).toEqual([]));
});
