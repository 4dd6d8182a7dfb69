// What a form is made of: fields with a shape, and how a draft becomes what a command takes. It knows no kind of thing.
import { shortDay } from '../format';
import type { Shape } from '../generated/fields';
import type { Fresh, Option } from './options';

/** One field of a form. */
export type FieldSpec = {
  name: string;
  label: string;
  shape: Shape;
  required?: boolean;
  hint?: string;
  /** The words of a `word` field. */
  words?: Readonly<Record<string, string>>;
  /** What a field that names something picks from. */
  options?: readonly Option[];
  /** What may be made new where it is not among them. */
  fresh?: readonly Fresh[];
  /** Shown at once; others are behind `more`. */
  first?: boolean;
};

/** A value as a form holds it. */
export type Held = string | boolean | string[];
/** A value as a command takes it. */
export type Given = string | number | boolean | string[] | null;

/** A value of the record as the form holds it. */
export function held(spec: FieldSpec, value: Given | undefined): Held {
  if (spec.shape === 'flag') return value === true;
  if (spec.shape === 'set') return Array.isArray(value) ? value : [];
  if (value === null || value === undefined) return '';
  return String(value);
}

/** Whether two values are the same. */
export const same = (a: Held | undefined, b: Held | undefined): boolean => JSON.stringify(a) === JSON.stringify(b);

/** The fields that differ from what they were: emptied ones as `null`, whole numbers as numbers. */
export function changed(
  specs: readonly FieldSpec[],
  was: Readonly<Record<string, Held>>,
  now: Readonly<Record<string, Held>>,
): Record<string, Given> {
  const out: Record<string, Given> = {};
  for (const spec of specs) {
    const before = was[spec.name] ?? (spec.shape === 'flag' ? false : spec.shape === 'set' ? [] : '');
    const after = now[spec.name] ?? before;
    if (same(before, after)) continue;
    out[spec.name] = given(spec, after);
  }
  return out;
}

/** One value as a command takes it. */
export function given(spec: FieldSpec, value: Held): Given {
  if (typeof value === 'boolean' || Array.isArray(value)) return value;
  const text = spec.shape === 'prose' ? value : value.trim();
  if (text === '') return null;
  if (spec.shape === 'whole' && /^[+-]?\d+$/.test(text)) return Number(text);
  return text;
}

/** The required fields that are still empty. */
export function missing(specs: readonly FieldSpec[], now: Readonly<Record<string, Held>>): FieldSpec[] {
  return specs.filter((spec) => {
    const value = now[spec.name];
    return spec.required === true && (value === undefined || (typeof value === 'string' && value.trim() === ''));
  });
}

/** The days that say no day: what is typed in them is not one of the calendar. */
export function unclear(specs: readonly FieldSpec[], now: Readonly<Record<string, Held>>): FieldSpec[] {
  return specs.filter(({ name, shape }) => {
    const value = now[name];
    return shape === 'day' && typeof value === 'string' && value.trim() !== '' && !/^\d{4}-\d\d-\d\d$/.test(value);
  });
}

/** A value as a person reads it: what is named by its name, a word as it is shown, a day as days are said. */
export function spoken(spec: FieldSpec, value: Held | undefined): string {
  if (typeof value === 'boolean') return value ? 'yes' : 'no';
  const named = (one: string) => spec.options?.find((option) => option.value === one)?.label ?? spec.words?.[one] ?? (spec.shape === 'day' ? shortDay(one) : one);
  return [value ?? []].flat().map(named).join(', ') || 'nothing';
}
