// What is sent for a bolt that is tightened otherwise than its run says: only what differs. It reckons no torque.
import { measure } from '../../format';
import type { Named, RunNext, RunPage } from '../../generated/wire';
import type { Option } from '../../shared/options';

const idOf = (named: Named) => named.name.slice(named.name.indexOf(':') + 1);

/** What differs from the run: a wrench, a torque, both or neither. */
export function otherwise(
  page: Pick<RunPage, 'instrument'>,
  next: Pick<RunNext, 'torque'>,
  said: { wrench: string; torque: string },
): { instrument?: string; torque?: string } {
  const runs = page.instrument ? idOf(page.instrument) : '';
  const torque = said.torque.trim();
  return {
    ...(said.wrench !== '' && said.wrench !== runs ? { instrument: said.wrench } : {}),
    ...(torque !== '' && torque !== measure(next.torque).typed ? { torque } : {}),
  };
}

/** The instruments to pick from: those that this run has used first, since the other wrench is mostly the one of before. */
export function wrenches(list: readonly Named[], page: Pick<RunPage, 'instrument' | 'log'>): Option[] {
  const used = new Set([page.instrument, ...page.log.map((line) => line.instrument)].flatMap((one) => (one ? [one.name] : [])));
  const option = (one: Named): Option => ({ value: idOf(one), label: one.title, ...(used.has(one.name) ? { group: 'used in this run' } : {}) });
  return [...list.filter((one) => used.has(one.name)), ...list.filter((one) => !used.has(one.name))].map(option);
}
