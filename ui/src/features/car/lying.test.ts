// Where most of them lie.
import { expect, it } from 'vitest';
import { whereMost } from './lying';

const car = 'In the car: Gearbox';
it('is said once where more than half lie there', () => expect(whereMost([car, car, 'B12', car, car])).toBe(car));
it('is not said of few, of half, or of what nobody said', () => {
  expect(whereMost([car, car, car])).toBe('');
  expect(whereMost([car, car, car, car, 'B1', 'B2', 'B3', 'B4'])).toBe('');
  expect(whereMost(['', '', '', '', ''])).toBe('');
});
