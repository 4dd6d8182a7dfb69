// Which drawing stands beside each calculation, what it shows in words, and the letters of the form that no drawing can show: counts,
// factors and wishes. It knows no argument: the letters' own words come from the core.
import type { Component } from 'svelte';
import type { DescribedCalculation } from '../../generated/wire';
import Agree from './drawings/Agree.svelte';
import Bolt from './drawings/Bolt.svelte';
import Circuit from './drawings/Circuit.svelte';
import Combined from './drawings/Combined.svelte';
import Coolant from './drawings/Coolant.svelte';
import Displacement from './drawings/Displacement.svelte';
import Drum from './drawings/Drum.svelte';
import Dwell from './drawings/Dwell.svelte';
import Feelers from './drawings/Feelers.svelte';
import Gearing from './drawings/Gearing.svelte';
import HeatFit from './drawings/HeatFit.svelte';
import Hone from './drawings/Hone.svelte';
import Hydraulics from './drawings/Hydraulics.svelte';
import IsoFit from './drawings/IsoFit.svelte';
import Lash from './drawings/Lash.svelte';
import Nut from './drawings/Nut.svelte';
import Pairs from './drawings/Pairs.svelte';
import Paint from './drawings/Paint.svelte';
import Repeated from './drawings/Repeated.svelte';
import RimMark from './drawings/RimMark.svelte';
import RingGap from './drawings/RingGap.svelte';
import RingPlan from './drawings/RingPlan.svelte';
import Running from './drawings/Running.svelte';
import ShimPack from './drawings/ShimPack.svelte';
import Speedometer from './drawings/Speedometer.svelte';
import Strip from './drawings/Strip.svelte';
import TapDrill from './drawings/TapDrill.svelte';
import ThreadMeasured from './drawings/ThreadMeasured.svelte';
import Tightening from './drawings/Tightening.svelte';
import Torque from './drawings/Torque.svelte';
import Tyre from './drawings/Tyre.svelte';
import VehicleNumber from './drawings/VehicleNumber.svelte';
import Verdict from './drawings/Verdict.svelte';
import Wear from './drawings/Wear.svelte';

/** A drawing of what a calculation measures. */
export type Drawing = {
  picture: Component<{ label: string; variant?: string }>;
  /** Which of a drawing that several share. */
  variant?: string;
  /** What is to be seen, in words, without the letters. */
  shows: string;
  /** Letters of the form that stand for nothing one could point at. */
  unseen?: readonly string[];
};

/** The drawings, by the calculation's name. */
export const DRAWINGS: Readonly<Record<string, Drawing>> = {
  displacement: { picture: Displacement, shows: 'A cylinder in section, its piston at the top', unseen: ['N', 'CR', 'Vt', 'n'] },
  clearance: { picture: Running, shows: 'A journal lying in its shell, end on' },
  shim_pack: { picture: ShimPack, shows: 'The end of a shaft under its cover, in section, with shims between' },
  wear: { picture: Wear, shows: 'A worn bore in section, measured at three heights, and from above in two directions' },
  ring_gap: { picture: RingGap, shows: 'A ring in its bore from above, and the bore in section', unseen: ['k'] },
  ring_plan: { picture: RingPlan, shows: 'Rings beneath the bores they may go to', unseen: ['k'] },
  select_fit: { picture: Pairs, shows: 'Pistons beneath the bores they may go to' },
  hone: { picture: Hone, shows: 'A bore in section with honing marks that cross' },
  lash: { picture: Lash, shows: 'A cam over its follower, a shim between' },
  torque: { picture: Torque, shows: 'A torque wrench from above with an adapter, and the bolt from the side', unseen: ['K', 'μ'] },
  tightening: { picture: Tightening, shows: 'Bolts in a ring, numbered round it, and bolts in rows, numbered along each row' },
  bolt_strength: { picture: Bolt, shows: 'A bolt from the side with its thread, and the class marks on its head' },
  thread_strip: { picture: Strip, shows: 'A bolt in a tapped part, in section' },
  aircraft_torque: { picture: Nut, shows: 'A bolt through two plates, its nut turned on a dry thread' },
  thread_identify: { picture: ThreadMeasured, shows: 'A thread in the jaws of a caliper' },
  tap_drill: { picture: TapDrill, shows: 'A hole in section, drilled first and then tapped' },
  dwell: { picture: Dwell, shows: 'A contact breaker on its cam' },
  rim_mark: { picture: RimMark, shows: 'A pulley end on, with the mark of top dead centre and the mark wanted' },
  wire: { picture: Circuit, variant: 'wire', shows: 'A battery, a wire and a lamp, and the wire cut across' },
  fuse: { picture: Circuit, variant: 'fuse', shows: 'A battery, a fuse in the wire and a lamp, and the wire cut across' },
  resistor: { picture: Circuit, variant: 'resistor', shows: 'A battery, a resistor in the wire and the part it feeds' },
  hydraulics: { picture: Hydraulics, shows: 'A brake pedal on its pivot, the master cylinder and a wheel cylinder' },
  drum: { picture: Drum, shows: 'A brake drum in section, with the ridge at its edge' },
  tyre: { picture: Tyre, shows: 'A wheel end on, and its tyre in section with width, height and rim' },
  gearing: { picture: Gearing, shows: 'Engine, gear, axle and driven wheel in a row' },
  speedometer: { picture: Speedometer, shows: 'A speedometer and the car on the road' },
  coolant: { picture: Coolant, shows: 'The cooling system now, what is filled up with, and the system as wanted; concentrate shaded' },
  paint: { picture: Paint, shows: 'A panel, the paint on it in section, wet and dry, and the mixing cup' },
  heat_fit: { picture: HeatFit, shows: 'A ring heated on a hot plate and a cold part about to drop in' },
  iso_fit: { picture: IsoFit, shows: 'The zones of a hole and a shaft about the line of the nominal size' },
  vehicle_number: { picture: VehicleNumber, shows: 'A plate of seventeen characters, the ninth marked as the check character' },
  verdict: { picture: Verdict, shows: 'A line of sizes with the limits as bars and the reading as a dot', unseen: ['k'] },
  repeated: { picture: Repeated, shows: 'Several readings of one point along a line of sizes, with their mean and spread' },
  agree: { picture: Agree, shows: 'Two readings of one point over a line of sizes' },
  combined: { picture: Combined, shows: 'Two uncertainties at a right angle; together they are the long side' },
  feelers: { picture: Feelers, shows: 'A gap with feeler leaves stacked in it' },
};

/** What a drawing shows and what each of its letters measures, in words. */
export function labelOf(drawing: Drawing, args: DescribedCalculation['arguments']): string {
  const seen = args.filter((argument) => argument.letter !== '' && !drawing.unseen?.includes(argument.letter));
  const letters = seen.map((argument) => `${argument.letter}: ${argument.words}`);
  return [drawing.shows, ...letters].join('; ');
}
