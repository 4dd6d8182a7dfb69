// What is left half done by whoever leaves an assembly, told by how its jobs were found and how they stand when another place is gone to.
import { expect, test } from 'vitest';
import type { JobLine } from '../../generated/wire';
import { Visit } from './leaving';

const job = (id: string, state: string, left_off: string | null = null, tries = 0) => ({ id, state, left_off, tries: Array.from({ length: tries }) }) as unknown as JobLine;
const there = (thing: string) => ({ place: 'car' as const, thing });
const day = { place: 'day' as const, thing: '' };

test('what was begun in there is left half done by whoever goes to another place', () => {
  const visit = new Visit();
  visit.look('hub', [job('nut', 'open'), job('seal', 'begun', 'seal half out')]);
  visit.look('hub', [job('nut', 'begun'), job('seal', 'begun', 'seal half out')]);
  expect(visit.moved(there('assembly:hub'))).toEqual([]);
  expect(visit.moved(there('job:nut'))).toEqual([]);
  expect(visit.moved(day).map((one) => one.id)).toEqual(['nut']);
  expect(visit.moved(day)).toEqual([]);
});

test('so is what was tried at, and not what somebody said the place of', () => {
  const visit = new Visit();
  visit.look('hub', [job('nut', 'begun', 'on the third thread', 1), job('seal', 'begun')]);
  visit.look('hub', [job('nut', 'begun', 'on the third thread', 2), job('seal', 'begun')]);
  expect(visit.moved(there('assembly:axle')).map((one) => one.id)).toEqual(['nut']);
  visit.look('hub', [job('nut', 'open')]);
  visit.look('hub', [job('nut', 'begun', 'off')]);
  expect(visit.moved(day)).toEqual([]);
});

test('whoever only looked in leaves nothing', () => {
  const visit = new Visit();
  visit.look('hub', [job('nut', 'begun'), job('seal', 'done')]);
  expect(visit.moved(day)).toEqual([]);
});
