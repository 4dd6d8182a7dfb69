// Which calculations a few typed letters mean: by title, by what they answer, by what they take, and by the trade's other names for any
// of these. It never guesses at misspellings.
import type { DescribedCalculation, Explained } from '../../generated/wire';

/** What a calculation is also asked for by: words of the trade that stand in none of its own texts. */
const ALSO: Readonly<Record<string, string>> = {
  agree: 'difference second opinion',
  aircraft_torque: 'AN hardware nut',
  bolt_strength: 'tensile proof load head markings stud',
  clearance: 'big end main bearing shell journal oil clearance piston skirt small end gudgeon pin bush',
  combined: 'error tolerance stack',
  coolant: 'antifreeze glycol frost radiator',
  displacement: 'cc cubic inches capacity engine size CR skim head gasket stroker',
  drum: 'skim brake turning oversize lining',
  dwell: 'points contact breaker gap distributor cam angle',
  feelers: 'feeler gauge blades tappet',
  fuse: 'amps blow lamp',
  gearing: 'rev counter road speed mph final drive overdrive',
  heat_fit: 'bearing interference press shrink oven freezer bush gudgeon pin',
  hone: 'cross-hatch glaze busting',
  hydraulics: 'pedal pressure master cylinder wheel cylinder caliper servo',
  iso_fit: 'H7 press fit sliding fit tolerance limits',
  lash: 'tappet clearance bucket overhead cam valve adjustment',
  paint: 'two-pack thinner hardener primer mixing gun',
  repeated: 'average mean scatter',
  resistor: '6 volt 12 volt ballast dropper',
  rim_mark: 'timing mark degrees BTDC TDC flywheel pulley',
  ring_gap: 'piston ring end gap filing',
  ring_plan: 'piston ring end gap filing sorting',
  select_fit: 'matching pairing pistons sorting',
  shim_pack: 'end float thrust washer crank axle backlash preload spacer',
  speedometer: 'mph kph calibration',
  tap_drill: 'tapping tap thread insert hole',
  thread_identify: 'whitworth BSF UNF UNC BA BSP metric pitch gauge TPI bolt',
  thread_strip: 'stripped tapped hole aluminium insert engagement depth',
  tightening: 'head bolts nuts sequence cylinder head flange wheel nuts pattern',
  torque: 'Nm lb-ft foot-pound kgm preload clamp crowfoot stretch wrench spanner lubrication',
  tyre: 'wheel circumference rolling radius profile',
  vehicle_number: 'VIN chassis number frame number plate',
  verdict: 'tolerance within spec limit pass wear limit',
  wear: 'rebore oversize taper oval ovality cylinder liner bore gauge',
  wire: 'cable gauge AWG loom amps voltage drop',
};

/** As it is compared: small letters, single spaces, no joining signs. */
const plain = (text: string) => text.toLocaleLowerCase('en').replaceAll(/[^\p{L}\p{N}]+/gu, ' ').trim();

/** Everything that a calculation is found by. */
function said(one: DescribedCalculation): string {
  return ` ${plain([one.title, one.about, one.place_words, ALSO[one.name] ?? '', ...one.arguments.map((argument) => argument.words)].join(' '))} `;
}

/** What a word or several may also be called, itself first. */
function names(typed: string, glossary: readonly Explained[]): string[] {
  const entries = glossary.filter((entry) => entry.names.some((name) => plain(name) === typed || plain(`${name}s`) === typed));
  return [typed, ...entries.flatMap((entry) => entry.names.map(plain))];
}

/** The calculations that are meant, in their order; all of them where nothing is typed. */
export function meant(all: readonly DescribedCalculation[], typed: string, glossary: readonly Explained[] = []): DescribedCalculation[] {
  const whole = plain(typed);
  if (whole === '') return [...all];
  // A name of several words is looked for as one; otherwise every word must be found.
  const starts = (text: string, wanted: string[]) => wanted.some((name) => text.includes(` ${name}`));
  return all.filter((one) => {
    const text = said(one);
    return starts(text, names(whole, glossary)) || whole.split(' ').every((word) => starts(text, names(word, glossary)));
  });
}

/** The names of calculations that have words of their own here, for the test that none is of a calculation that is gone. */
export const SAID = Object.keys(ALSO);
