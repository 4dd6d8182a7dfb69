// What crosses between the notebook and its faces. Generated from the Rust types; never edited by hand.

/**
 * Enters an assembly.
 */
export type AddAssembly = AssemblyFields;

/**
 * Enters a bag, bin, box or shelf.
 */
export type AddContainer = ContainerFields;

/**
 * Enters what was found on a part or assembly.
 */
export type AddFinding = FindingFields;

/**
 * Enters what must be so before an assembly may close.
 */
export type AddHoldPoint = HoldPointFields;

/**
 * Enters what readings are made with.
 */
export type AddInstrument = InstrumentFields;

/**
 * Enters work to do.
 */
export type AddJob = JobFields;

/**
 * Enters another keeper.
 */
export type AddKeeper = KeeperFields;

/**
 * Enters a wanted value or range with its source.
 */
export type AddLimit = LimitFields;

/**
 * Enters something to find, ask for or buy.
 */
export type AddOrder = OrderFields;

/**
 * Enters a part.
 */
export type AddPart = PartFields;

/**
 * Parts that are alike but for where they are.
 */
export type AddParts = { 
/**
 * What all of them have.
 */
part: PartFields, 
/**
 * The position of each: `cylinder 1`, `cylinder 2`.
 */
positions: Array<string>, };

/**
 * Enters a photo whose bytes this device has taken.
 */
export type AddPhoto = PhotoFields;

/**
 * Photos whose bytes this device has taken.
 */
export type AddPhotos = { 
/**
 * Each, as one photo is entered.
 */
photos: Array<PhotoFields>, };

/**
 * Enters a measured value.
 */
export type AddReading = ReadingFields;

/**
 * Begins a tightening run: bolts, order and passes.
 */
export type AddTighteningRun = TighteningRunFields;

/**
 * Enters one attempt at a job and what came of it.
 */
export type AddTry = TryFields;

/**
 * Takes back that something agreed was reopened: it holds as it was agreed.
 */
export type AgreeAgain = { 
/**
 * One of the settlements that were reopened.
 */
settlement: Id, };

/**
 * What was agreed: what, why, by whom and when; the two hundred newest.
 */
export type Agreed = Record<symbol, never>;

/**
 * One thing that was agreed.
 */
export type AgreedLine = { 
/**
 * The settlement.
 */
name: Ref, 
/**
 * Which rule found the point; nothing for one of a newer program.
 */
rule: Rule | null, 
/**
 * What it was about.
 */
about: Array<Named>, 
/**
 * What was agreed, in words.
 */
came_to: string, 
/**
 * Why.
 */
why: string | null, 
/**
 * Who settled it, and when.
 */
by: By, 
/**
 * By whom it was reopened, and why; nothing while it holds.
 */
reopened: StruckOut | null, };

/**
 * One that is there already, as a hint beside what is typed.
 */
export type AlikeLine = { 
/**
 * Which.
 */
what: Named, 
/**
 * How it stands, in words.
 */
says: string, 
/**
 * Since when.
 */
on: Day | null, };

/**
 * What is there already of what is being typed.
 */
export type AlikePage = { 
/**
 * The nearest, three at most.
 */
found: Array<AlikeLine>, 
/**
 * The next code that nothing bears; of a container only.
 */
free: string | null, };

/**
 * What is there already that would be entered again.
 */
export type AlikeTo = { 
/**
 * Of which kind it will be: a part, a job, an order or a container.
 */
kind: Kind, 
/**
 * What was typed of its name, its code or what it says.
 */
words: string, 
/**
 * A part's position.
 */
position?: string | null, 
/**
 * The part that it is for.
 */
part?: Id | null, 
/**
 * The assembly that it is in.
 */
assembly?: Id | null, 
/**
 * The one that is being changed.
 */
besides?: Id | null, };

/**
 * An answer with all that belongs to it. The first value, or the first verdict where there is one, is the headline. Where
 * there are tables, a picture is drawn from their lines, and the lines' words are its text equivalent.
 */
export type Answer = { 
/**
 * The calculation's name.
 */
calculation: string, 
/**
 * What was reckoned, the most wanted first.
 */
values: Array<AnswerValue>, 
/**
 * Judgements: in limits or not, and the remedy.
 */
verdicts: Array<AnswerVerdict>, 
/**
 * Plans, ranked choices and orders of work, line by line; empty for most answers.
 */
tables: Array<AnswerTable>, 
/**
 * The arguments as understood, defaults among them.
 */
inputs: Array<AnswerInput>, 
/**
 * The formulas used.
 */
formulas: Array<AnswerFormula>, 
/**
 * Where formulas and factors come from.
 */
sources: Array<AnswerSource>, 
/**
 * What the answer holds for: lubrication, temperature, grade.
 */
conditions: Array<AnswerNote>, 
/**
 * What to mind.
 */
cautions: Array<AnswerNote>, 
/**
 * Arguments that are unusual though possible, and results that should give pause.
 */
warnings: Array<AnswerNote>, };

/**
 * One formula.
 */
export type AnswerFormula = { 
/**
 * Stable key.
 */
key: string, 
/**
 * Its name.
 */
name: string, 
/**
 * Written out with the drawing's letters.
 */
written: string, };

/**
 * One argument as understood.
 */
export type AnswerInput = { 
/**
 * The argument's name.
 */
name: string, 
/**
 * What it is, in words.
 */
words: string, 
/**
 * The letter used in the drawing and the formula; empty where there is none.
 */
letter: string, 
/**
 * The text as typed, or the default.
 */
typed: string, 
/**
 * The exact value in the base unit, as text: `0.3048 mm`; of a list, all of them: `0.24 mm ×2; 0.3 mm`. For a choice or
 * a thread, its full name; for a text, the text.
 */
exact: string, 
/**
 * The value in the base unit; null for all but a single quantity or number.
 */
value: number | null, 
/**
 * The base unit's symbol; empty for all but a single quantity.
 */
unit: string, 
/**
 * Was it the default, not typed?
 */
by_default: boolean, };

/**
 * One line of a table.
 */
export type AnswerLine = { 
/**
 * The whole line in words, enough without any picture.
 */
words: string, 
/**
 * Why it stands where it does; empty where there is no choice.
 */
why: string, 
/**
 * The numbers in it, for a picture; a key may stand several times, as for the shims of a pack.
 */
values: Array<AnswerValue>, };

/**
 * A condition, caution or warning.
 */
export type AnswerNote = { 
/**
 * Stable key.
 */
key: string, 
/**
 * One sentence.
 */
words: string, };

/**
 * One source.
 */
export type AnswerSource = { 
/**
 * Stable key.
 */
key: string, 
/**
 * Title, edition, place; or what is common practice.
 */
words: string, 
/**
 * How much it weighs.
 */
standing: Standing, };

/**
 * Several lines that belong together: which ring to which bore, the packs of shims that fit, the order of the bolts.
 */
export type AnswerTable = { 
/**
 * Stable key: `packs`.
 */
key: string, 
/**
 * What it is, in words.
 */
words: string, 
/**
 * Are the lines choices, the best first? Otherwise all of them hold together, in order.
 */
ranked: boolean, 
/**
 * The lines, in order.
 */
lines: Array<AnswerLine>, };

/**
 * One reckoned value.
 */
export type AnswerValue = { 
/**
 * Stable key: `displacement`.
 */
key: string, 
/**
 * What it is, in words.
 */
words: string, 
/**
 * The number, in `unit`; always finite.
 */
value: number, 
/**
 * The unit's symbol; empty for a plain number.
 */
unit: string, 
/**
 * Rounded for showing, with the unit; of an order of things, the order, where `value` is how many they are.
 */
text: string, };

/**
 * One judgement.
 */
export type AnswerVerdict = { 
/**
 * Stable key of what is judged: `gap`.
 */
key: string, 
/**
 * The judgement, one of a closed set of words.
 */
word: VerdictWord, 
/**
 * The judgement and its remedy, in a sentence.
 */
words: string, };

/**
 * An answer, and what it was made of.
 */
export type Answered = { 
/**
 * What was asked for.
 */
reply: unknown, 
/**
 * Marks of all that was looked at: as long as no [`Patch`] has one of them, the answer is the same. Nothing where any patch may
 * make it another.
 */
looked_at: Array<string> | null, };

/**
 * What somebody said of what was agreed, apart from who reopened it.
 */
export type ApartLine = { 
/**
 * Who, and when.
 */
by: By, 
/**
 * Why it was reopened; nothing where it was to hold again.
 */
why: string | null, };

/**
 * What revoked devices wrote later: set aside, shown, and never merged.
 */
export type Aside = Record<symbol, never>;

/**
 * By which road something came.
 */
export type AsideBy = "drop" | "carry" | "meeting";

/**
 * What a revoked device wrote later: set aside, shown, and never merged.
 */
export type AsideLine = { 
/**
 * To name it by.
 */
id: string, 
/**
 * The device that brought it.
 */
device: Id, 
/**
 * What it is called.
 */
device_name: string, 
/**
 * Whose it is.
 */
keeper_name: string, 
/**
 * When it came here.
 */
came: Moment, 
/**
 * By which road.
 */
by: AsideBy, 
/**
 * Changes in it that are not in the record.
 */
changes: number, 
/**
 * What they say of themselves, oldest first, as far as it can be read without merging them; at most fifty.
 */
words: Array<string>, };

/**
 * What revoked devices wrote later, and what of it was not kept.
 */
export type AsidePage = { 
/**
 * What is set aside, in the order in which it came.
 */
lines: Array<AsideLine>, 
/**
 * How many files and meetings' parcels are kept of a record; what comes beyond is not.
 */
most: number, 
/**
 * How often one came beyond that, of which nothing is kept. The same one counts each time that it comes.
 */
not_kept: number, 
/**
 * When the last of those came.
 */
not_kept_last: Moment | null, };

/**
 * A line for the sheet of the day, that asks the other keeper.
 */
export type AskOther = { 
/**
 * Whom.
 */
who: string, 
/**
 * The line.
 */
text: string, };

/**
 * A point to settle that is about what a page shows.
 */
export type AskedOf = { 
/**
 * Its identity.
 */
point: string, 
/**
 * What it asks.
 */
title: string, };

/**
 * The usual cautions of an assembly, by what is done with it.
 */
export type AssemblyCautions = { 
/**
 * Before it is lifted, loosened or undone.
 */
opening: Array<AnswerNote>, 
/**
 * Before it is closed, by what stands in the way too.
 */
closing: Array<AnswerNote>, 
/**
 * Of a closed one, by what it was closed over that can hurt; nothing where there is none of that.
 */
closed: Array<AnswerNote>, };

/**
 * What an edit gives: a field left out stays, `null` empties it.
 */
export type AssemblyFields = { 
/**
 * What it is called.
 */
name?: string | null, 
/**
 * The assembly it belongs in.
 */
parent?: Id | null, 
/**
 * How it stands; `closed` only by closing it up.
 */
state?: AssemblyState | null, 
/**
 * Where it comes among its neighbours: an order key, compared as text.
 */
order?: string | null, 
/**
 * It was opened: put anew each time, so that who did it last, and who could not know of it, is told when it stands together again.
 */
opened?: boolean | null, 
/**
 * It was taken off or apart, which loosens what holds it together: put anew each time, as that it was opened.
 */
taken_apart?: boolean | null, 
/**
 * It is closed and off the car: closed on the bench, or taken off as it was. Said of a closed one only; fitting it opens nothing.
 */
off_car?: boolean | null, 
/**
 * It is on for trial and comes off again: why, or until when. It ends by being taken off.
 */
for_trial?: string | null, 
/**
 * Where it lies while it is off.
 */
kept_in?: Id | null, 
/**
 * Whatever else is known of it.
 */
note?: string | null, };

/**
 * One line of the tree.
 */
export type AssemblyLine = { 
/**
 * Which.
 */
id: Id, 
/**
 * What it is called.
 */
name: string, 
/**
 * How it stands.
 */
state: AssemblyState, 
/**
 * Whether two devices say otherwise.
 */
state_contradicts: boolean, 
/**
 * How deep it lies: 0 at the top.
 */
depth: number, 
/**
 * What is open inside it.
 */
open: Open, 
/**
 * How many parts are in it, everything inside counted.
 */
parts: number, };

/**
 * Inside an assembly.
 */
export type AssemblyOf = { 
/**
 * Which.
 */
id: Id, };

/**
 * Inside an assembly.
 */
export type AssemblyPage = { 
/**
 * Which.
 */
id: Id, 
/**
 * What it is called.
 */
name: string, 
/**
 * How it stands.
 */
state: AssemblyState, 
/**
 * Whether it is closed and not on the car.
 */
closed_off_car: boolean, 
/**
 * It is on for trial and comes off again: why.
 */
for_trial: string | null, 
/**
 * Whether two devices left it in different states.
 */
state_contradicts: boolean, 
/**
 * Who put it in that state; several where each did without knowing of the others.
 */
state_by: Array<By>, 
/**
 * Who took it off closed as it was, where that was not who closed it: two who did so apart are both told.
 */
off_car_by: Array<By>, 
/**
 * What it lies in, from the outside in.
 */
path: Array<Named>, 
/**
 * What lies directly in it.
 */
inside: Array<AssemblyLine>, 
/**
 * Notes.
 */
note: string | null, 
/**
 * What stands in the way of closing it up; empty when it may close.
 */
blockers: Array<Blocker>, 
/**
 * What it was closed over, and why, where it is closed.
 */
closed_over: Array<ClosedOver>, 
/**
 * Jobs in it that are put off to a later round and stand in nobody's way.
 */
put_off: Array<Named>, 
/**
 * What to mind of it.
 */
cautions: AssemblyCautions, 
/**
 * Parts.
 */
parts: Array<PartLine>, 
/**
 * Findings on it or on its parts.
 */
findings: Array<FindingLine>, 
/**
 * Jobs.
 */
jobs: Array<JobLine>, 
/**
 * Hold points.
 */
holds: Array<HoldLine>, 
/**
 * Photos of it, its parts, findings, jobs and hold points.
 */
photos: Array<PhotoLine>, 
/**
 * Readings.
 */
readings: Array<ReadingLine>, 
/**
 * Notes that were written from inside it, the newest day first.
 */
notes: Array<NoteLine>, 
/**
 * Bench answers kept for it, its parts or its jobs.
 */
kept: Array<KeptLine>, 
/**
 * Tightening runs.
 */
runs: Array<RunLine>, 
/**
 * Points to settle that are about it or anything in it.
 */
points: Array<PointOut>, 
/**
 * Struck out.
 */
struck: StruckOut | null, 
/**
 * A reference to it.
 */
reference: Ref, };

export type AssemblyState = "fitted" | "off" | "apart" | "closed" | "away" | (string & {});

/**
 * What came in while one was away.
 */
export type Away = { 
/**
 * Only those of which something was not read yet.
 */
unread?: boolean | null, };

/**
 * What came in while one was away.
 */
export type AwayPage = { 
/**
 * What was not read yet; nothing where all of it was.
 */
unread: Unread | null, 
/**
 * The comings, newest first: the newest sixty.
 */
comings: Array<ComingLine>, };

/**
 * What becomes of what stands inside something that is struck out.
 */
export type Becomes = "move_up" | "strike_too" | "leave";

/**
 * Jobs that are begun and left half done, each with where it stopped, what was said last first.
 */
export type Begun = Record<symbol, never>;

/**
 * Where on the car a calculation belongs.
 */
export type BenchPlace = "bottom_end" | "bores_and_pistons" | "head_and_valves" | "fasteners" | "threads" | "ignition" | "electrics" | "brakes_and_wheels" | "gearing" | "fluids_and_paint" | "heat_and_fits" | "vehicle_number" | "readings";

/**
 * Something that stands in the way of closing.
 */
export type Blocker = { 
/**
 * Which check found it.
 */
check: ClosingCheck, 
/**
 * What is unfinished; for a point, the assembly it is in.
 */
about: Ref, 
/**
 * What it is called.
 */
title: string, 
/**
 * The assembly it is in.
 */
within: Id, 
/**
 * What that assembly is called.
 */
within_title: string, 
/**
 * How it stands: `open`, `apart`, `danger`, `above_limits`, `in B14: clips`, or `struck` of an assembly that was struck out with
 * something left in it.
 */
state: string, 
/**
 * Which point is to be settled, where that is what stands in the way.
 */
point: string | null, 
/**
 * Whether it can hurt somebody.
 */
danger: boolean, 
/**
 * Whether it is a part that is at hand, in a container or off the car, so that it can be put in at once.
 */
at_hand: boolean, 
/**
 * Whether it wants a reason of its own where it is closed over; of the others one reason may serve a whole sort.
 */
alone: boolean, };

/**
 * Whose it is, on which device, when.
 */
export type By = { 
/**
 * The keeper; nothing for what the program laid down itself.
 */
keeper: Id | null, 
/**
 * Their name.
 */
name: string, 
/**
 * The pattern of their line: `plain`, `dashed`, `dotted`, `double`.
 */
pattern: string, 
/**
 * The device's name.
 */
device: string, 
/**
 * When, by that device's clock.
 */
at: Moment, };

/**
 * Lists the calculators with what each takes.
 */
export type Calculations = { 
/**
 * Units and the like, as this keeper prefers them.
 */
preferences?: ReckonPreferences, };

export type CameBy = "earlier_hand" | "wear" | "accident" | "storage" | (string & {});

/**
 * One of many that the same was done to.
 */
export type CameItem = { 
/**
 * Which.
 */
name: Ref, 
/**
 * What it is called.
 */
title: string, 
/**
 * One more word: a reading's value and verdict.
 */
word: string | null, };

/**
 * What one keeper did to one thing, or to many alike.
 */
export type CameLine = { 
/**
 * The thing, or the first of them.
 */
name: Ref, 
/**
 * Who: a name, or `You`.
 */
who: string, 
/**
 * The pattern of their line.
 */
pattern: string, 
/**
 * What they did, as it is said after their name: `closed up the gearbox`.
 */
says: string, 
/**
 * One more word, which a person wrote or the record reckons: a reading's value, what came of a job.
 */
word: string | null, 
/**
 * When the first of it was done, by the clock of the device that it was entered on.
 */
since: Moment, 
/**
 * When the last of it was done.
 */
at: Moment, 
/**
 * The day that was said, where one was.
 */
on: Day | null, 
/**
 * Whether it can hurt somebody, and holds.
 */
hurts: boolean, 
/**
 * Whether it is among the points to settle.
 */
asks: boolean, 
/**
 * Which, where it was done to many alike.
 */
many: Array<CameItem>, 
/**
 * Photos that show it and came with it.
 */
photos: Array<PhotoLine>, };

/**
 * What one coming brought.
 */
export type CamePage = { 
/**
 * The coming.
 */
coming: ComingLine, 
/**
 * The points to settle that came with it and stand.
 */
points: Array<PointOut>, 
/**
 * What it brought, by place.
 */
places: Array<CamePlace>, 
/**
 * Whether nothing came but smaller changes.
 */
only_smaller: boolean, 
/**
 * The next one after it that was not read.
 */
next: number | null, };

/**
 * What came of one assembly, or of what stands in none.
 */
export type CamePlace = { 
/**
 * Its heading.
 */
title: string, 
/**
 * The assembly, or the car.
 */
about: Ref | null, 
/**
 * What was done, in the order it was done.
 */
lines: Array<CameLine>, 
/**
 * How many lines more there were.
 */
more: number, 
/**
 * Photos that are of none of those lines.
 */
photos: Array<PhotoLine>, 
/**
 * Smaller changes.
 */
smaller: Array<CameSmaller>, };

/**
 * What was only worded or entered otherwise.
 */
export type CameSmaller = { 
/**
 * What.
 */
what: Named, 
/**
 * Who.
 */
who: string, 
/**
 * The fields, as a form calls them.
 */
fields: Array<string>, };

/**
 * One reading that the text may have.
 */
export type Candidate = { 
/**
 * A text that is read with certainty, to put in place of what was typed.
 */
text: string, 
/**
 * What it means, in words.
 */
words: string, };

/**
 * What an edit gives: a field left out stays, `null` empties it.
 */
export type CarFields = { 
/**
 * What the keepers call it.
 */
name?: string | null, 
/**
 * Who made it.
 */
make?: string | null, 
/**
 * Which model.
 */
model?: string | null, 
/**
 * The year it was built.
 */
year?: number | null, 
/**
 * The number stamped on the body.
 */
body_number?: string | null, 
/**
 * The number stamped on the engine.
 */
engine_number?: string | null, 
/**
 * The number in the papers.
 */
papers_number?: string | null, 
/**
 * Its colour.
 */
colour?: string | null, 
/**
 * Whatever else is known of it.
 */
note?: string | null, };

/**
 * The car and its assemblies, with what is open inside.
 */
export type CarOf = Record<symbol, never>;

/**
 * What is the car's own and of no assembly.
 */
export type CarOwn = { 
/**
 * Jobs.
 */
jobs: Array<JobLine>, 
/**
 * Hold points.
 */
holds: Array<HoldLine>, 
/**
 * Readings.
 */
readings: Array<ReadingLine>, };

/**
 * The Car place.
 */
export type CarPage = { 
/**
 * What the car is called.
 */
name: string, 
/**
 * Its fields in order.
 */
fields: Array<Field>, 
/**
 * Assemblies, top down.
 */
tree: Array<AssemblyLine>, 
/**
 * Assemblies that were struck out and in which something was left.
 */
in_struck: Array<InStruck>, 
/**
 * Parts that are in no assembly.
 */
loose_parts: Array<Named>, 
/**
 * Photos whose subject was left for later.
 */
photos_for_later: Array<PhotoLine>, 
/**
 * Answers kept for the whole car, the newest first.
 */
kept: Array<KeptLine>, };

/**
 * Takes a carry file in.
 */
export type CarryInFile = { 
/**
 * The carry file.
 */
file: string, 
/**
 * What it is sealed to, where it is sealed to a passphrase.
 */
passphrase?: string | null, 
/**
 * Lets devices in that the record does not know yet: a keeper has said that the file is theirs.
 */
welcome?: boolean | null, };

/**
 * What a carry out wrote.
 */
export type CarryOut = { 
/**
 * The file.
 */
file: string, 
/**
 * Its name alone.
 */
name: string, 
/**
 * Its size in bytes.
 */
bytes: number, 
/**
 * Changes in it.
 */
changes: number, 
/**
 * Photos in it.
 */
photos: number, 
/**
 * Whether it holds everything, so that a newcomer may join by it.
 */
whole: boolean, 
/**
 * Who can read it.
 */
seal: CarrySeal, 
/**
 * Who can read it, as a sentence.
 */
says: string, };

/**
 * Writes a carry file for one device, or with everything.
 */
export type CarryOutFile = { 
/**
 * The device it is for; left out, it holds everything and a newcomer may join by it.
 */
to?: Id | null, 
/**
 * Where to write it; left out, into this folder's own `carry`.
 */
file?: string | null, 
/**
 * Whether photos go along; they do where nothing is said.
 */
photos?: boolean | null, 
/**
 * Seal it to this, for a newcomer; left out, it is sealed to the record's devices.
 */
passphrase?: string | null, 
/**
 * Leave it open, so that whoever finds it can read it.
 */
open?: boolean | null, };

/**
 * Who can read a carry file.
 */
export type CarrySeal = "open" | "members" | "passphrase";

/**
 * What a carry file would hold.
 */
export type CarrySize = { 
/**
 * Changes.
 */
changes: number, 
/**
 * Bytes of the file without its photos.
 */
bytes_changes: number, 
/**
 * Photos.
 */
photos: number, 
/**
 * Their bytes.
 */
bytes_photos: number, 
/**
 * Whether it would hold everything, so that a newcomer may join by it.
 */
whole: boolean, };

/**
 * How long a carry file would be.
 */
export type CarrySizeOf = { 
/**
 * The device it would be for; left out, it would hold everything.
 */
to?: Id | null, 
/**
 * Whether photos would go along; they would where nothing is said.
 */
photos?: boolean | null, };

/**
 * Changes an assembly; it is closed by 'close_up' only.
 */
export type ChangeAssembly = { 
/**
 * Which one.
 */
id: Id, 
/**
 * The fields to change: one left out stays, `null` empties it.
 */
fields: AssemblyFields, };

/**
 * Changes what is known of the car; its id is 'car'.
 */
export type ChangeCar = { 
/**
 * Which one.
 */
id: Id, 
/**
 * The fields to change: one left out stays, `null` empties it.
 */
fields: CarFields, };

/**
 * Changes a container.
 */
export type ChangeContainer = { 
/**
 * Which one.
 */
id: Id, 
/**
 * The fields to change: one left out stays, `null` empties it.
 */
fields: ContainerFields, };

/**
 * Changes a device's name.
 */
export type ChangeDevice = { 
/**
 * Which one.
 */
id: Id, 
/**
 * The fields to change: one left out stays, `null` empties it.
 */
fields: DeviceFields, };

/**
 * Changes a finding.
 */
export type ChangeFinding = { 
/**
 * Which one.
 */
id: Id, 
/**
 * The fields to change: one left out stays, `null` empties it.
 */
fields: FindingFields, };

/**
 * Changes a hold point, or says that it is met.
 */
export type ChangeHoldPoint = { 
/**
 * Which one.
 */
id: Id, 
/**
 * The fields to change: one left out stays, `null` empties it.
 */
fields: HoldPointFields, };

/**
 * The hash of one change, as 64 hex digits. Opaque outside the document and the store.
 */
export type ChangeId = string;

/**
 * Changes an instrument.
 */
export type ChangeInstrument = { 
/**
 * Which one.
 */
id: Id, 
/**
 * The fields to change: one left out stays, `null` empties it.
 */
fields: InstrumentFields, };

/**
 * Changes a job.
 */
export type ChangeJob = { 
/**
 * Which one.
 */
id: Id, 
/**
 * The fields to change: one left out stays, `null` empties it.
 */
fields: JobFields, };

/**
 * Changes a keeper.
 */
export type ChangeKeeper = { 
/**
 * Which one.
 */
id: Id, 
/**
 * The fields to change: one left out stays, `null` empties it.
 */
fields: KeeperFields, };

/**
 * Changes a limit.
 */
export type ChangeLimit = { 
/**
 * Which one.
 */
id: Id, 
/**
 * The fields to change: one left out stays, `null` empties it.
 */
fields: LimitFields, };

/**
 * Changes an order.
 */
export type ChangeOrder = { 
/**
 * Which one.
 */
id: Id, 
/**
 * The fields to change: one left out stays, `null` empties it.
 */
fields: OrderFields, };

/**
 * Changes a part.
 */
export type ChangePart = { 
/**
 * Which one.
 */
id: Id, 
/**
 * The fields to change: one left out stays, `null` empties it.
 */
fields: PartFields, };

/**
 * Changes what a photo shows or its caption.
 */
export type ChangePhoto = { 
/**
 * Which one.
 */
id: Id, 
/**
 * The fields to change: one left out stays, `null` empties it.
 */
fields: PhotoFields, };

/**
 * Changes a reading.
 */
export type ChangeReading = { 
/**
 * Which one.
 */
id: Id, 
/**
 * The fields to change: one left out stays, `null` empties it.
 */
fields: ReadingFields, };

/**
 * Changes a tightening run.
 */
export type ChangeTighteningRun = { 
/**
 * Which one.
 */
id: Id, 
/**
 * The fields to change: one left out stays, `null` empties it.
 */
fields: TighteningRunFields, };

/**
 * Changes a try.
 */
export type ChangeTry = { 
/**
 * Which one.
 */
id: Id, 
/**
 * The fields to change: one left out stays, `null` empties it.
 */
fields: TryFields, };

/**
 * Reads everything and says in words what is wrong. It changes nothing.
 */
export type Check = Record<symbol, never>;

/**
 * One way to settle a point.
 */
export type Choice = { 
/**
 * What is sent back.
 */
key: string, 
/**
 * Whether a reason must be given with it.
 */
wants_why: boolean, };

/**
 * Says which car this device shows from now on.
 */
export type ChooseRecord = { 
/**
 * Which.
 */
record: Id, };

/**
 * A value that stands for a field, and whose it is.
 */
export type ClaimSaid = { 
/**
 * The value; of a set, the element and whether it is in it.
 */
words: string, 
/**
 * Who wrote it.
 */
by: WrittenBy, };

/**
 * Moves up, or strikes out too, what was left in an assembly or a container that was struck out.
 */
export type ClearStruck = { 
/**
 * Which, as `assembly:0190…`.
 */
name: Ref, 
/**
 * `move_up` or `strike_too`.
 */
inside: Becomes, 
/**
 * Into which assembly or container it moves, in place of the one around it.
 */
into?: Id | null, 
/**
 * Why, where it is struck out; left out, the reason that was given before.
 */
why?: string | null, };

/**
 * Closes an assembly up; refused while anything inside it is open and not waived with a reason.
 */
export type CloseUp = { 
/**
 * Which.
 */
assembly: Id, 
/**
 * What is open in it and is waived.
 */
waive: Array<Waive>, };

/**
 * What stands in the way of closing an assembly up.
 */
export type CloseUpCheck = { 
/**
 * Which.
 */
assembly: Id, };

/**
 * What an assembly was closed over.
 */
export type ClosedOver = { 
/**
 * What was unfinished.
 */
about: Named, 
/**
 * Which check had found it; nothing where what it is about tells.
 */
check: string | null, 
/**
 * Whether it can hurt somebody, and has no end.
 */
danger: boolean, 
/**
 * Why it was closed all the same.
 */
why: string, 
/**
 * Who said so, when.
 */
by: By, };

/**
 * What is looked for at closing. The order is the order in which it is listed within one assembly.
 */
export type ClosingCheck = "struck" | "assembly" | "apart" | "hold_point" | "job" | "tightening_run" | "finding" | "reading" | "part_wanted" | "part_stored" | "point";

/**
 * One coming: a file, a look at a drop, or the live meetings of an evening.
 */
export type ComingLine = { 
/**
 * Its number on this device.
 */
number: number, 
/**
 * By which road.
 */
road: Road, 
/**
 * Whose devices it came from, as far as that is known.
 */
from: Array<string>, 
/**
 * When the last of it came, by this device's clock.
 */
at: Moment, 
/**
 * How many things it brought something of.
 */
things: number, 
/**
 * How many points to settle came with it and stand.
 */
points: number, 
/**
 * Whether some of it was not read yet.
 */
unread: boolean, };

export type Condition = "new" | "wear" | (string & {});

/**
 * Says what the face knows of the network that this device is in.
 */
export type Connection = { 
/**
 * Whether it is paid by what it carries. Nothing where that is not known, which is taken for no.
 */
metered?: boolean | null, };

/**
 * What an edit gives: a field left out stays, `null` empties it.
 */
export type ContainerFields = { 
/**
 * The code on its label, `B14`.
 */
code?: string | null, 
/**
 * What is in it.
 */
name?: string | null, 
/**
 * The container it lies in.
 */
inside?: Id | null, 
/**
 * Where it stands, where it lies in no other.
 */
place?: string | null, };

/**
 * A container in the list.
 */
export type ContainerLine = { 
/**
 * Which.
 */
id: Id, 
/**
 * The code on its label.
 */
code: string, 
/**
 * What is in it.
 */
name: string | null, 
/**
 * Where it stands.
 */
place: string | null, 
/**
 * How deep it lies: 0 at the top.
 */
depth: number, 
/**
 * The parts in it.
 */
parts: Array<Named>, };

/**
 * Cuts off a device that was paired here and that the record does not name; nothing of it is in the record.
 */
export type Cut = { 
/**
 * Which.
 */
device: Id, };

/**
 * A calendar day at the bench, `2031-03-01`: the keeper's own day, whatever the clock in UTC said.
 */
export type Day = string;

/**
 * Something done or entered on a day, under whoever did it.
 */
export type DayEntry = { 
/**
 * What it was done to, or what was entered.
 */
name: Ref, 
/**
 * What was done, as it is said before the title.
 */
did: string, 
/**
 * What it was done to, as it was called then.
 */
title: string, 
/**
 * What of this line reads otherwise now: what it is called, how bad it is, a value.
 */
now: string | null, 
/**
 * What that is about, where it is about something.
 */
about: Named | null, 
/**
 * One more word: how bad a finding is, a reading's value, what was counted, why a point was settled so.
 */
word: string | null, 
/**
 * The photo, where it is one.
 */
photo: PhotoLine | null, 
/**
 * Photos of the same day that show it.
 */
photos: Array<PhotoLine>, 
/**
 * What it was done to, where it was done to many alike.
 */
many: Array<DayItem>, 
/**
 * Who else did the same, without knowing of it.
 */
also: Array<string>, 
/**
 * Whether it is among the points to settle.
 */
asks: boolean, 
/**
 * Who entered it, where that was another than who did it.
 */
entered_by: string | null, 
/**
 * When it was done, by the clock of the device that it was entered on.
 */
at: Moment, 
/**
 * Struck out.
 */
struck: StruckOut | null, };

/**
 * One of many that the same was done to.
 */
export type DayItem = { 
/**
 * Which.
 */
name: Ref, 
/**
 * What it is called.
 */
title: string, 
/**
 * A reading's value.
 */
word: string | null, };

/**
 * A day in the strip of dates.
 */
export type DayMark = { 
/**
 * The day.
 */
day: Day, 
/**
 * The patterns of those who did or entered something, in the keepers' order.
 */
patterns: Array<string>, 
/**
 * Their names.
 */
names: Array<string>, };

/**
 * What each keeper wrote and did on one date.
 */
export type DayOf = { 
/**
 * The date.
 */
day: Day, 
/**
 * How many minutes the keeper's clock is ahead of UTC; none where nothing is said.
 */
minutes_east?: number | null, };

/**
 * The Day place.
 */
export type DayPage = { 
/**
 * The day.
 */
day: Day, 
/**
 * What the car is called.
 */
car: string, 
/**
 * This device's keeper first, then the others by name; those with nothing on the day are left out, except
 * this device's own.
 */
sheets: Array<DaySheet>, 
/**
 * Days on which something was done, newest first: the newest sixty.
 */
days: Array<DayMark>, };

/**
 * One keeper's sheet of the day.
 */
export type DaySheet = { 
/**
 * The keeper.
 */
keeper: Id, 
/**
 * Their name.
 */
name: string, 
/**
 * The pattern of their line.
 */
pattern: string, 
/**
 * Whether it is this device's keeper, who may write on it here.
 */
mine: boolean, 
/**
 * The notes.
 */
text: string, 
/**
 * Hours at the bench, as written.
 */
hours: string | null, 
/**
 * What else they did, in the order it was done.
 */
entries: Array<DayEntry>, };

export type Decision = "reuse" | "recondition" | "replace" | (string & {});

/**
 * One argument.
 */
export type DescribedArgument = { 
/**
 * Stable name.
 */
name: string, 
/**
 * What it is, in words.
 */
words: string, 
/**
 * The letter used in the drawing; empty where there is none.
 */
letter: string, 
/**
 * What is wanted: `quantity`, `number`, `whole`, `gauge`, `choice`, `thread`, `list` (several quantities), `grid` (rows of
 * quantities), `text`.
 */
want: string, 
/**
 * How it is typed, in a sentence; empty where it is plain.
 */
how: string, 
/**
 * The kind of quantity, where it is one or several.
 */
kind: QuantityKind | null, 
/**
 * The symbol of the unit that stands beside the field; empty where there is none.
 */
unit: string, 
/**
 * The words it may be, where it is a choice.
 */
choices: Array<DescribedChoice>, 
/**
 * Must it be given?
 */
required: boolean, 
/**
 * The text taken where nothing is given; null where there is none.
 */
default: string | null, 
/**
 * Outside this it is refused.
 */
reject: DescribedRange | null, 
/**
 * Outside this it is answered with a warning.
 */
warn: DescribedRange | null, 
/**
 * A text that is taken.
 */
example: string, };

/**
 * One calculation.
 */
export type DescribedCalculation = { 
/**
 * Stable name.
 */
name: string, 
/**
 * As shown.
 */
title: string, 
/**
 * Where on the car.
 */
place: BenchPlace, 
/**
 * Where on the car, in words.
 */
place_words: string, 
/**
 * What it answers, in one sentence.
 */
about: string, 
/**
 * What it takes, in the order of the form.
 */
arguments: Array<DescribedArgument>, };

/**
 * One of the words that an argument may be.
 */
export type DescribedChoice = { 
/**
 * As typed.
 */
name: string, 
/**
 * What it means.
 */
words: string, };

/**
 * A range, both ends included, in the argument's unit.
 */
export type DescribedRange = { 
/**
 * The least.
 */
low: number, 
/**
 * The most.
 */
high: number, 
/**
 * In words: `20 mm to 250 mm`.
 */
text: string, };

/**
 * What an edit gives: a field left out stays, `null` empties it.
 */
export type DeviceFields = { 
/**
 * What its keeper calls it.
 */
name?: string | null, 
/**
 * Whose it is.
 */
keeper?: Id | null, 
/**
 * The key it is known by when devices meet: Ed25519, 64 hex digits.
 */
key?: string | null, 
/**
 * What files for it are sealed to: an age recipient, `age1…`.
 */
seal?: string | null, 
/**
 * Why it is met no more: lost, sold, stolen. Once put it stands; a device that is found again joins anew.
 */
revoked?: string | null, };

/**
 * A device.
 */
export type DeviceLine = { 
/**
 * Which.
 */
id: Id, 
/**
 * What its keeper calls it.
 */
name: string, 
/**
 * Whether it is this one.
 */
this: boolean, 
/**
 * When this device last took in something from it.
 */
last_met: Moment | null, 
/**
 * How many of the changes that are here, whoever made them, it is not known to have; nothing while nothing is known of it.
 */
lacks: number | null, };

export type Differs = "as_made" | "other_type" | "other_make" | "home_made" | "stand_in" | "left_out" | "aid" | (string & {});

/**
 * A part that is not as it should be.
 */
export type DiffersLine = { 
/**
 * Which.
 */
part: Named, 
/**
 * The assembly that it belongs in.
 */
within: Named | null, 
/**
 * How it differs.
 */
differs: Differs, 
/**
 * Until what comes, or why so.
 */
why: string | null, 
/**
 * Where it is, in words.
 */
lies: string, };

/**
 * A digest of everything: the same on two devices that have the same.
 */
export type DigestOf = Record<symbol, never>;

/**
 * A reply that says nothing but that it was done.
 */
export type Done = { 
/**
 * Always true: what was not done is a refusal.
 */
done: boolean, };

/**
 * Adds a drop. It is looked at in the background from then on.
 */
export type DropAdd = { 
/**
 * Where it lies.
 */
place: DropPlace, 
/**
 * What to call it; left out, by what it lies in.
 */
name?: string | null, 
/**
 * Whether photos go through it too.
 */
photos: boolean, 
/**
 * Said once more that a password may go over plain http, where anybody on the way can take it.
 */
in_the_open?: boolean | null, };

/**
 * How much the next look at a drop would read and write. It is worked out in the background: ask again while it is
 * busy.
 */
export type DropAhead = { 
/**
 * Which: its id or its name.
 */
drop: string, };

/**
 * The sizes of the next look, as far as they are known. They are worked out in the background: ask again while it is
 * busy.
 */
export type DropAheadPage = { 
/**
 * Whether they are being worked out.
 */
busy: boolean, 
/**
 * What was found.
 */
sizes: DropSizes | null, 
/**
 * Why they could not be worked out, as a sentence.
 */
stopped: string | null, };

/**
 * What a drop lies in.
 */
export type DropKind = "folder" | "s3" | "webdav";

/**
 * A drop: a place through which this record meets other devices.
 */
export type DropLine = { 
/**
 * To name it by.
 */
id: string, 
/**
 * What its keeper calls it.
 */
name: string, 
/**
 * What it lies in.
 */
kind: DropKind, 
/**
 * Whether photos go through it too.
 */
photos: boolean, 
/**
 * Whether its password goes over a line that anybody on the way can read, as its keeper wanted it.
 */
in_the_open: boolean, 
/**
 * Whether it is being looked at now.
 */
busy: boolean, 
/**
 * When it was last looked at, whatever came of it.
 */
looked: Moment | null, 
/**
 * What came of it.
 */
told: DropTold | null, 
/**
 * A later look that failed and could not be noted, as on a full disk: what stands here is of the look before it. Known as long as
 * the program runs.
 */
failed: FailedLook | null, };

/**
 * Asks for a look at a drop, or at all of them, now. It happens in the background.
 */
export type DropLook = { 
/**
 * Which: its id or its name; left out, all of them.
 */
drop?: string | null, };

/**
 * Where a drop is to lie, with what it takes to get in. It goes in by `drop_add` and never comes out again.
 */
export type DropPlace = { "folder": { 
/**
 * Its full path.
 */
path: string, } } | { "s3": { 
/**
 * The server, `https://…`.
 */
endpoint: string, 
/**
 * The bucket.
 */
bucket: string, 
/**
 * A folder in the bucket.
 */
prefix?: string | null, 
/**
 * The region, where the server has any.
 */
region?: string | null, 
/**
 * The id of the key.
 */
key: string, 
/**
 * The key's secret.
 */
secret: string, } } | { "webdav": { 
/**
 * Where it is, `https://…`.
 */
url: string, 
/**
 * The name it knows this keeper by.
 */
user?: string | null, 
/**
 * The password.
 */
password?: string | null, } };

/**
 * Forgets a drop. What lies there stays there.
 */
export type DropRemove = { 
/**
 * Which: its id or its name.
 */
drop: string, };

/**
 * What the next look at a drop would do. What new files would bring is not known before they are read.
 */
export type DropSizes = { 
/**
 * Files of changes to read.
 */
read: number, 
/**
 * Their bytes.
 */
bytes_read: number, 
/**
 * Photos to fetch.
 */
photos_fetch: number, 
/**
 * Their bytes.
 */
bytes_fetch: number, 
/**
 * Changes to write.
 */
write: number, 
/**
 * Their bytes, at the most: they are packed.
 */
bytes_write: number, 
/**
 * Photos to put there.
 */
photos_put: number, 
/**
 * Their bytes.
 */
bytes_put: number, 
/**
 * Bytes of all that lies there of this record.
 */
bytes_there: number, 
/**
 * Whose news lie there, as far as the record names them.
 */
news_from: Array<string>, };

/**
 * What the last look at a drop found and did.
 */
export type DropTold = { 
/**
 * Files of changes that were taken from it.
 */
batches: number, 
/**
 * Changes in them; some may have been here already.
 */
changes: number, 
/**
 * Photos that were fetched.
 */
photos_fetched: number, 
/**
 * Photos that are announced there, wanted here, and not here yet.
 */
photos_left: number, 
/**
 * Files that were written there.
 */
written: number, 
/**
 * Photos among them.
 */
photos_put: number, 
/**
 * Bytes of what was written.
 */
bytes_written: number, 
/**
 * Bytes that were read.
 */
bytes_read: number, 
/**
 * Bytes of all that lies there of this record.
 */
bytes_there: number, 
/**
 * Files that wait for others, which are not there yet.
 */
waiting: number, 
/**
 * Files that are not all there yet.
 */
unfinished: number, 
/**
 * Files that were not sealed for this device.
 */
not_for_me: number, 
/**
 * Files of revoked devices that were set aside.
 */
aside: number, 
/**
 * What was wrong with single files, one sentence each; at most twenty.
 */
faults: Array<string>, 
/**
 * Why the look could not be finished, as a sentence.
 */
stopped: string | null, };

/**
 * The drops of this record.
 */
export type Drops = Record<symbol, never>;

/**
 * The drops of a record.
 */
export type DropsPage = { 
/**
 * In the order in which they were added.
 */
drops: Array<DropLine>, 
/**
 * Whether this program looks at them by itself now.
 */
looking: boolean, };

/**
 * All that an earlier hand did: the findings that came by it, what is open first.
 */
export type EarlierHand = Record<symbol, never>;

/**
 * One entry: every field in words, what it names, every value that stands for it and who wrote that, and what to mind.
 */
export type EntryOf = { 
/**
 * Its kind.
 */
kind: Kind, 
/**
 * Which.
 */
id: Id, };

/**
 * An entry as it is kept, and as a person reads it.
 */
export type EntryPage = { 
/**
 * What it is called, whole, with its position.
 */
title: string, 
/**
 * Its fields in words, in the order of the table of its kind and those of a newer version after them. One that says nothing is not
 * among them, and a strike stands by itself.
 */
said: Array<FieldSaid>, 
/**
 * Its fields as a form takes them, nothing for one that was emptied.
 */
form: { [key in string]: FormValue | null }, 
/**
 * Who entered it.
 */
made_by: WrittenBy, 
/**
 * The line through it.
 */
struck: StruckOut | null, 
/**
 * Of a part, where it is: as somebody said, and where nobody did, as its assembly stands.
 */
lies: LiesSaid | null, 
/**
 * The usual cautions of what is worked on, of a finding that somebody says can hurt.
 */
cautions: Array<AnswerNote>, 
/**
 * Of a part, the findings on it that can hurt and have no end.
 */
dangers: Array<Named>, 
/**
 * What it is.
 */
kind: Kind, 
/**
 * Which one.
 */
id: Id, 
/**
 * The change that made it. Where two devices could lay the same thing, the program did.
 */
made: Stamp, 
/**
 * Every field that was ever written, those of newer versions too. An element of a set is `set:element`.
 */
fields: { [key in string]: Held }, };

/**
 * What a trade word means, in one line, and what else it is called.
 */
export type Explain = { 
/**
 * The word; left empty, all of them.
 */
word: string, };

/**
 * A trade word, explained.
 */
export type Explained = { 
/**
 * Its names.
 */
names: Array<string>, 
/**
 * What it is, in one line.
 */
means: string, };

/**
 * A look that failed, and of which nothing could be kept.
 */
export type FailedLook = { 
/**
 * When it ended.
 */
at: Moment, 
/**
 * Why, in a sentence.
 */
words: string, };

/**
 * A field of the car with its name.
 */
export type Field = { 
/**
 * Its key.
 */
field: string, 
/**
 * Its value, if any.
 */
value: Scalar | null, 
/**
 * Whether two devices wrote different values.
 */
contradicts: boolean, 
/**
 * Of the number in the papers, where it is neither the engine's nor the body's: which those are.
 */
mismatch: string | null, };

/**
 * A field of an entry in words.
 */
export type FieldSaid = { 
/**
 * The field.
 */
field: string, 
/**
 * What it is called.
 */
label: string, 
/**
 * What is shown of it: of a set each that is in it, else one value, or none where it was emptied and somebody says otherwise.
 */
values: Array<ValueSaid>, 
/**
 * Whether what stands for it differs between those who wrote it: to be settled.
 */
differs: boolean, 
/**
 * Everything that stands for it, what is shown first, with who wrote it.
 */
claims: Array<ClaimSaid>, 
/**
 * Whether the program keeps it for itself and no person reads it.
 */
for_the_program: boolean, };

/**
 * What a field read at a moment.
 */
export type FieldThen = { 
/**
 * The field; of a set, with its element.
 */
field: string, 
/**
 * What it is called.
 */
label: string, 
/**
 * Its values then.
 */
values: Array<Scalar | null>, 
/**
 * The same in words.
 */
said: Array<string>, 
/**
 * What would be put to have it read so again, where one value can be: that, or nothing to empty it.
 */
back: PutBack | null, 
/**
 * Whether it says nothing to a person: the program keeps it for itself, or it was left empty when the thing was entered.
 */
says_nothing: boolean, };

/**
 * An assembly that was closed over a finding.
 */
export type FindingClosedOver = { 
/**
 * Which.
 */
assembly: Named, 
/**
 * Whether it is closed by that closing still.
 */
closed: boolean, 
/**
 * Why it was closed all the same.
 */
why: string, 
/**
 * Who said so, when.
 */
by: By, };

/**
 * How a finding ended, as a list shows it.
 */
export type FindingEnd = { 
/**
 * `mended_by`, `mended`, `lived_with`, `not_so`, or a newer version's word.
 */
word: string, 
/**
 * The job that mends it.
 */
job: Named | null, 
/**
 * How it was mended, why it is lived with, or what was seen where it is not so.
 */
words: string | null, 
/**
 * Whether it holds: a job that was opened again, dropped or struck out mends nothing, and what was looked at and is so is not ruled out.
 */
holds: boolean, 
/**
 * Who said so, when.
 */
by: By, };

/**
 * What an edit gives: a field left out stays, `null` empties it.
 */
export type FindingFields = { 
/**
 * What it is about.
 */
about?: Ref | null, 
/**
 * What was seen.
 */
what?: string | null, 
/**
 * How bad it is.
 */
how_bad?: HowBad | null, 
/**
 * Whether it is only suspected, or was looked at and is so.
 */
how_sure?: HowSure | null, 
/**
 * What it came by.
 */
came_by?: CameBy | null, 
/**
 * The other finding that it comes of.
 */
because_of?: Id | null, 
/**
 * The day.
 */
on?: Day | null, 
/**
 * Whatever else was seen.
 */
note?: string | null, 
/**
 * How it ended: `mended_by:` and a job's id, `mended:` and how, `lived_with:` and why, `not_so:` and what was seen instead; nothing
 * while it is open.
 */
ended?: string | null, 
/**
 * The photos that it is to be seen on.
 */
photos?: Array<Id> | null, };

/**
 * A finding in a list.
 */
export type FindingLine = { 
/**
 * Which.
 */
id: Id, 
/**
 * What it is about.
 */
about: Named, 
/**
 * What was seen.
 */
what: string, 
/**
 * How bad it is.
 */
how_bad: HowBad | null, 
/**
 * Whether it was confirmed, or is only suspected.
 */
how_sure: HowSure | null, 
/**
 * Whether it is only suspected and nobody has looked since: it is asked about where its place is open.
 */
suspected: boolean, 
/**
 * What it came by.
 */
came_by: CameBy | null, 
/**
 * The day.
 */
on: Day | null, 
/**
 * How it ended; nothing while it is open.
 */
end: FindingEnd | null, 
/**
 * Whether it was ended in two ways.
 */
end_contradicts: boolean, 
/**
 * Whether it is open: it stands, has no end that holds, and is not that nothing is wrong.
 */
open: boolean, 
/**
 * The usual cautions, of one that somebody says can hurt.
 */
cautions: Array<AnswerNote>, 
/**
 * Whose.
 */
by: By, 
/**
 * Struck out.
 */
struck: StruckOut | null, };

/**
 * One finding: how it stands, and the jobs around it that could have mended it.
 */
export type FindingOf = { 
/**
 * Which.
 */
id: Id, };

/**
 * One finding with what could have mended it.
 */
export type FindingPage = { 
/**
 * The finding.
 */
finding: FindingLine, 
/**
 * The assembly it is in.
 */
within: Named | null, 
/**
 * The jobs in there, those done first.
 */
jobs: Array<JobLine>, 
/**
 * What was closed over it, and why.
 */
closed_over: Array<FindingClosedOver>, 
/**
 * The finding that it comes of.
 */
because_of: FindingLine | null, 
/**
 * The findings that come of it.
 */
led_to: Array<FindingLine>, };

/**
 * How the data folder stands.
 */
export type Folder = Record<symbol, never>;

/**
 * Why it is asked whether a folder is the same device, or a copy.
 */
export type FolderDoubt = "place" | "key" | "damaged" | "twin";

/**
 * Says which device this data folder is: the same, moved or restored; or a copy, which becomes a device of its own.
 */
export type FolderIs = { 
/**
 * Whether it is a copy, beside which the other goes on, or was stolen.
 */
copy: boolean, 
/**
 * What the copy is called.
 */
device_name?: string | null, };

/**
 * How the data folder stands.
 */
export type FolderPage = { 
/**
 * Why its keeper has to say which device it is; nothing is written and nobody met until then.
 */
doubt: FolderDoubt | null, 
/**
 * The same, as a sentence.
 */
says: string | null, 
/**
 * What this device is called; nothing before the first record.
 */
device: string | null, 
/**
 * The cars whose pages read what another version made, where nobody is making it anew.
 */
old_tables: Array<OldTables>, };

/**
 * A value as a form takes it.
 */
export type FormValue = boolean | number | string | Array<string>;

/**
 * What was given up of what a check told is gone.
 */
export type GivenUp = { 
/**
 * A sentence each.
 */
says: Array<string>, };

/**
 * A grid of readings: rows are heights from the top down, columns directions.
 */
export type GridShown = { 
/**
 * What the rows are called.
 */
rows: Array<string>, 
/**
 * What the columns are called.
 */
columns: Array<string>, 
/**
 * The values, row by row.
 */
values: Array<Array<GridValue>>, 
/**
 * The most that two directions differ at one height; nothing with one direction.
 */
out_of_round: string | null, 
/**
 * The most that two heights differ in one direction; nothing with one height.
 */
taper: string | null, 
/**
 * The largest value.
 */
largest: string, 
/**
 * The smallest value.
 */
smallest: string, 
/**
 * All of it in words, for whoever does not see the picture.
 */
words: string, };

/**
 * One point of a grid.
 */
export type GridValue = { 
/**
 * As typed.
 */
text: string, 
/**
 * In millimetres, to draw it by.
 */
base: number, 
/**
 * Its verdict by the limits that judge the size; nothing where none does.
 */
word: VerdictWord | null, };

/**
 * One thing that a check found.
 */
export type HealthLine = { 
/**
 * Whether something is broken; else it is worth knowing and nothing is wrong.
 */
broken: boolean, 
/**
 * What sort of thing it is.
 */
code: string, 
/**
 * The record it is in.
 */
record: Id | null, 
/**
 * What was found, what it means, what to do.
 */
says: string, };

/**
 * What a check found.
 */
export type HealthReport = { 
/**
 * Whether nothing is broken.
 */
sound: boolean, 
/**
 * What was found, what is broken first.
 */
found: Array<HealthLine>, };

/**
 * Every value that stands for one field. The first is the one shown; which is first has nothing to do with
 * the clock, and is the same on every device. More than one *different* value is a contradiction.
 */
export type Held = Array<{ 
/**
 * The value.
 */
value: Scalar | null, 
/**
 * Who, when.
 */
stamp: Stamp, }>;

/**
 * A device that is here now.
 */
export type HereNow = { 
/**
 * Whose it is.
 */
keeper_name: string, 
/**
 * What its keeper calls it.
 */
name: string, 
/**
 * Since when it is here.
 */
since: Moment, };

/**
 * The newest changes of one entry, newest first, with what its fields read right after.
 */
export type History = { 
/**
 * Its kind.
 */
kind: Kind, 
/**
 * Which.
 */
id: Id, 
/**
 * How many changes; a hundred where nothing is said. Where there are as many lines as that, there may be older ones.
 */
most?: number | null, };

/**
 * One change in the history of an entry.
 */
export type HistoryLine = { 
/**
 * Who and when.
 */
by: By, 
/**
 * What was done, in the trade's words.
 */
message: string, 
/**
 * Fields it touched, and what each read right after it, the shown value first.
 */
fields: Array<FieldThen>, 
/**
 * What is to be said of who wrote it, in words, where no signature vouches for that.
 */
claimed: string | null, };

/**
 * Something that a search found.
 */
export type Hit = { 
/**
 * What it is.
 */
what: Named, 
/**
 * The line it was found in, in words; empty where that is its title.
 */
line: string, 
/**
 * Where it is: the assembly that it is in, or what it is about.
 */
within: Named | null, 
/**
 * Of a part, where it lies.
 */
lies: string | null, 
/**
 * Of a part, what becomes of the old one.
 */
old_one: OldOne | null, 
/**
 * Struck out.
 */
struck: boolean, };

/**
 * A hold point in a list.
 */
export type HoldLine = { 
/**
 * Which.
 */
id: Id, 
/**
 * What must be so.
 */
what: string, 
/**
 * How it is met.
 */
how: How, 
/**
 * How it stands.
 */
state: HoldState, 
/**
 * Whether it is to be met: open, and not struck out.
 */
open: boolean, 
/**
 * How many there must be, of what is counted.
 */
wanted: number | null, 
/**
 * What a reading that meets it is held against.
 */
limit: Named | null, 
/**
 * What was seen, counted or measured, of one that is met; what was said with a count of one that is not.
 */
met_how: string | null, 
/**
 * What was seen before it was open again: evidence of then, and not of now.
 */
seen_before: SeenBefore | null, 
/**
 * The points that are to be settled about whether it is met, on the page of its assembly.
 */
asks: Array<AskedOf>, 
/**
 * The reading or photo by which it was met.
 */
by_what: Named | null, 
/**
 * The readings here that do not meet it by themselves, on the page of its assembly, as long as it is not met.
 */
not_by: Array<NotBy>, 
/**
 * How many were counted; of an open one, where that is not what is wanted.
 */
counted: number | null, 
/**
 * Who put it in that state; several where each did without knowing of the others, nobody where it was entered so.
 */
state_by: Array<By>, 
/**
 * Who entered it.
 */
by: By, 
/**
 * Struck out.
 */
struck: StruckOut | null, };

/**
 * What an edit gives: a field left out stays, `null` empties it.
 */
export type HoldPointFields = { 
/**
 * What must be so.
 */
what?: string | null, 
/**
 * The assembly that may not close before; the car's own where nothing is said.
 */
assembly?: Id | null, 
/**
 * How it is met.
 */
how?: How | null, 
/**
 * How many there must be, of what is counted.
 */
wanted?: number | null, 
/**
 * What a reading that meets it is held against, of what is measured.
 */
limit?: Id | null, 
/**
 * How it stands.
 */
state?: HoldState | null, 
/**
 * What was seen, counted or measured.
 */
met_how?: string | null, 
/**
 * By what it was met: `counted:13`, `reading:ID`, `photo:ID`; nothing where only words say so. Of one that is open, what was
 * counted and is not what is wanted.
 */
met_by?: string | null, 
/**
 * The day it was met.
 */
on?: Day | null, };

export type HoldState = "open" | "met" | (string & {});

export type How = "seen" | "counted" | "measured" | "photographed" | (string & {});

export type HowBad = "sound" | "noted" | "watch" | "mend" | "danger" | (string & {});

/**
 * What anyone must know before touching the car.
 */
export type HowItStands = Record<symbol, never>;

export type HowSure = "suspected" | "confirmed" | (string & {});

/**
 * The name of one entity within its kind: a UUIDv7 for most, `car` for the car, `DATE_KEEPER` for a day sheet.
 *
 * Its order is used only to list things the same way everywhere; it is never taken for truth about time.
 */
export type Id = string;

/**
 * Something that was struck out and in which something was left.
 */
export type InStruck = { 
/**
 * What was struck out.
 */
what: Named, 
/**
 * Why, by whom and when.
 */
struck: StruckOut, 
/**
 * What was left in it.
 */
left: Array<Named>, };

/**
 * How many of a kind.
 */
export type Inner = { 
/**
 * Of which kind.
 */
kind: Kind, 
/**
 * How many.
 */
count: number, };

/**
 * What stands inside something, asked before it is struck out; of what was struck out already, what was left in it.
 */
export type InsideOut = { 
/**
 * How much of what, however deep.
 */
inside: Array<Inner>, 
/**
 * Where it could move to: what lies around.
 */
up: Named | null, 
/**
 * Whether something in it cannot be without a place, and nothing lies around.
 */
needs_a_place: boolean, };

/**
 * What an edit gives: a field left out stays, `null` empties it.
 */
export type InstrumentFields = { 
/**
 * What it is called.
 */
name?: string | null, 
/**
 * Its smallest step.
 */
resolution?: string | null, 
/**
 * Its expanded uncertainty, k = 2.
 */
uncertainty?: string | null, 
/**
 * The least that it measures.
 */
least?: string | null, 
/**
 * The most that it measures.
 */
most?: string | null, 
/**
 * When it was last checked.
 */
checked_on?: Day | null, 
/**
 * Against what.
 */
checked_against?: string | null, };

/**
 * What an edit gives: a field left out stays, `null` empties it.
 */
export type JobFields = { 
/**
 * What is to be done.
 */
what?: string | null, 
/**
 * The assembly it is in; the car's own where nothing is said.
 */
assembly?: Id | null, 
/**
 * The part it is on.
 */
part?: Id | null, 
/**
 * How it stands.
 */
state?: JobState | null, 
/**
 * Where it stopped, of one that is begun.
 */
left_off?: string | null, 
/**
 * The day before which nobody goes on: it soaks, hardens, or comes by carriage.
 */
not_before?: Day | null, 
/**
 * From what time of that day, `18:30` by the clock of the garage.
 */
not_before_time?: string | null, 
/**
 * What it waits for, where that is entered.
 */
waits_for?: Ref | null, 
/**
 * What or whom it waits for, where only words say so.
 */
waits_why?: string | null, 
/**
 * How many people it takes.
 */
hands?: number | null, 
/**
 * Who helps; by name, since a helper need not be a keeper.
 */
helper?: string | null, 
/**
 * The bigger job that did it as well, or undid it: believed only beside the state that was put with it.
 */
undone_by?: Id | null, 
/**
 * Assemblies that must be apart for it.
 */
needs_apart?: Array<Id> | null, 
/**
 * Jobs that must be done before it.
 */
after?: Array<Id> | null, 
/**
 * Parts that must be in hand for it.
 */
needs_parts?: Array<Id> | null, 
/**
 * Tools that it takes.
 */
tools?: string | null, 
/**
 * Minutes that it should take.
 */
minutes?: number | null, 
/**
 * What came of it.
 */
outcome?: string | null, 
/**
 * Whatever else is known of it.
 */
note?: string | null, 
/**
 * The day it was entered.
 */
on?: Day | null, 
/**
 * The reading that it mends.
 */
remedy_of?: Id | null, };

/**
 * A job in a list.
 */
export type JobLine = { 
/**
 * Which.
 */
id: Id, 
/**
 * What is to be done.
 */
what: string, 
/**
 * The assembly it is in; nothing where it is the car's own.
 */
assembly: Named | null, 
/**
 * How it stands.
 */
state: JobState, 
/**
 * Whether it is to be done in this round: open or begun, not put off, and not struck out.
 */
open: boolean, 
/**
 * Where it stopped, of one that is not done with.
 */
left_off: string | null, 
/**
 * Who said where it stopped, when.
 */
left_off_by: By | null, 
/**
 * What was said of it last, where it stopped or what was tried since.
 */
last_said: string | null, 
/**
 * The day before which nobody goes on.
 */
not_before: Day | null, 
/**
 * From what time of that day.
 */
not_before_time: string | null, 
/**
 * What it waits for, where that is entered.
 */
waits_on: Waits | null, 
/**
 * What or whom it waits for, in words.
 */
waits_why: string | null, 
/**
 * How many people it takes.
 */
hands: number | null, 
/**
 * Who helps.
 */
helper: string | null, 
/**
 * The bigger job that did it as well, or undid it.
 */
undone_by: Named | null, 
/**
 * Minutes that it should take.
 */
minutes: number | null, 
/**
 * Tools.
 */
tools: string | null, 
/**
 * What came of it.
 */
outcome: string | null, 
/**
 * Jobs that must be done before it and are still open.
 */
waits_for: Array<Named>, 
/**
 * Tries, oldest first.
 */
tries: Array<TryLine>, 
/**
 * Who put it in that state; several where each did without knowing of the others, nobody where it was entered so.
 */
state_by: Array<By>, 
/**
 * Who entered it.
 */
by: By, 
/**
 * Struck out.
 */
struck: StruckOut | null, };

export type JobState = "open" | "begun" | "done" | "dropped" | "later" | (string & {});

/**
 * Joins a record from a carry file that holds everything.
 */
export type JoinRecord = { 
/**
 * The carry file.
 */
file: string, 
/**
 * Whose device this is: a keeper of the record by name, or a new one.
 */
keeper: string, 
/**
 * What this device is called.
 */
device_name?: string | null, 
/**
 * What the file is sealed to, where it is sealed to a passphrase.
 */
passphrase?: string | null, };

/**
 * What one limit says of a reading.
 */
export type Judged = { 
/**
 * The limit.
 */
limit: Named, 
/**
 * The limit in words.
 */
words: string, 
/**
 * What it says.
 */
verdict: Verdict, };

/**
 * Keeps a bench answer: on the day's sheet, or with what it is for.
 */
export type KeepAnswer = { 
/**
 * Which calculation.
 */
calculation: string, 
/**
 * What was typed, by argument.
 */
inputs: { [key in string]: string }, 
/**
 * The units that the answer is kept in.
 */
preferences?: ReckonPreferences, 
/**
 * What it is for: an assembly, a part, a job or the car; nothing for the day's sheet alone.
 */
about?: Ref | null, 
/**
 * The day.
 */
on: Day, 
/**
 * Why it is kept.
 */
note?: string | null, };

/**
 * What an edit gives: a field left out stays, `null` empties it.
 */
export type KeeperFields = { 
/**
 * Their name.
 */
name?: string | null, 
/**
 * The line at the left edge of their entries.
 */
pattern?: Pattern | null, };

/**
 * A keeper.
 */
export type KeeperLine = { 
/**
 * Who.
 */
id: Id, 
/**
 * Their name.
 */
name: string, 
/**
 * The pattern of their line.
 */
pattern: string, 
/**
 * Whether it is this device's keeper.
 */
me: boolean, 
/**
 * Their devices.
 */
devices: Array<DeviceLine>, };

/**
 * Keepers, devices, and what is to be settled.
 */
export type Keepers = Record<symbol, never>;

/**
 * The Keepers place.
 */
export type KeepersPage = { 
/**
 * Keepers, this device's first.
 */
keepers: Array<KeeperLine>, 
/**
 * Points to settle, in one order everywhere.
 */
points: Array<PointOut>, 
/**
 * How many points were settled so far.
 */
settled: number, 
/**
 * Changes in the record.
 */
changes: number, 
/**
 * Photos named in the record.
 */
photos: number, 
/**
 * Photos whose originals are not on this device.
 */
photos_missing: number, };

/**
 * A kept answer, whole, with what the bench answers today.
 */
export type KeptAnswerOf = { 
/**
 * Which.
 */
id: Id, };

/**
 * A kept answer in a list.
 */
export type KeptLine = { 
/**
 * Which.
 */
id: Id, 
/**
 * What it answers.
 */
what: string, 
/**
 * The calculation's name.
 */
calculation: string, 
/**
 * What it is for.
 */
about: Named | null, 
/**
 * The answer in one line, as it was when it was kept.
 */
answer: string, 
/**
 * Why it was kept.
 */
note: string | null, 
/**
 * The day.
 */
on: Day | null, 
/**
 * Whose.
 */
by: By, 
/**
 * Struck out.
 */
struck: StruckOut | null, };

/**
 * A kept answer, whole.
 */
export type KeptPage = { 
/**
 * Its line.
 */
line: KeptLine, 
/**
 * What was typed, by argument.
 */
inputs: { [key in string]: string }, 
/**
 * All of it in words, as it was when it was kept.
 */
told: Array<string>, 
/**
 * What the bench answers today; nothing where it does not know the calculation any more, or refuses.
 */
now: Answer | null, 
/**
 * Whether that is another answer in one line.
 */
otherwise: boolean, };

/**
 * A kind of thing that a record keeps. The order is the order of every list that mixes kinds.
 */
export type Kind = "car" | "keeper" | "device" | "assembly" | "part" | "finding" | "job" | "try" | "sheet" | "photo" | "container" | "limit" | "instrument" | "reading" | "order" | "hold_point" | "waiver" | "settlement" | "kept_answer" | "tightening_run" | "tightened";

/**
 * A drop that a device which is met no more may still get into.
 */
export type KnewDrop = { 
/**
 * What it is called here.
 */
name: string, 
/**
 * Whether it is sure: the device has written there.
 */
sure: boolean, };

export type Layout = "circle" | "rows" | (string & {});

/**
 * Leaves the tour for good.
 */
export type LeaveTour = Record<symbol, never>;

/**
 * Gives up entries that a check tells are gone, where nobody has them any more.
 */
export type LetGo = Record<symbol, never>;

/**
 * Where a part is.
 */
export type LiesSaid = { 
/**
 * In words: `in the car: gearbox lid`, `B12, in X4, right-hand shelves`.
 */
words: string, 
/**
 * Whether somebody who wants it has to look for it: nobody said, or it was looked for and not found.
 */
to_seek: boolean, 
/**
 * Whether another goes in its place, and nobody has said what becomes of the old one.
 */
asks_old_one: boolean, };

/**
 * What an edit gives: a field left out stays, `null` empties it.
 */
export type LimitFields = { 
/**
 * What is measured.
 */
what?: string | null, 
/**
 * On which part or assembly, or of the whole car.
 */
about?: Ref | null, 
/**
 * For a new part, or the most wear.
 */
condition?: Condition | null, 
/**
 * Not below this.
 */
low?: string | null, 
/**
 * Not above this.
 */
high?: string | null, 
/**
 * The book.
 */
book?: string | null, 
/**
 * Its edition.
 */
edition?: string | null, 
/**
 * The page.
 */
page?: string | null, 
/**
 * Which property of a grid it judges; every value of it where nothing is said.
 */
judges?: Property | null, 
/**
 * What mends a reading below it.
 */
if_low?: Mend | null, 
/**
 * What mends a reading above it.
 */
if_high?: Mend | null, };

/**
 * Names everything of one kind that stands.
 */
export type List = { 
/**
 * Which kind.
 */
kind: Kind, };

/**
 * Chooses whether and by which roads this device meets others; what is left out stays.
 */
export type Live = { 
/**
 * Whether it meets others at all.
 */
on?: boolean | null, 
/**
 * The address of a relay of one's own; empty for none.
 */
relay?: string | null, 
/**
 * Whether the internet's relays may be used. They see the devices' keys and addresses, and when and how much
 * they exchange; never what.
 */
internet_relays?: boolean | null, 
/**
 * Which originals are fetched: all, or those that are asked for one by one. Small pictures always are.
 */
photos?: PhotosWanted | null, 
/**
 * By which connections they are fetched unasked.
 */
photos_by?: PhotosBy | null, };

/**
 * What was made or changed.
 */
export type Made = { 
/**
 * Its id.
 */
id: Id, 
/**
 * A reference to it.
 */
name: Ref, };

/**
 * What was made in one act.
 */
export type MadeMany = { 
/**
 * Each, in the order of the positions.
 */
made: Array<Made>, };

/**
 * What a remedy becomes when it is taken.
 */
export type Makes = "job" | "order";

/**
 * Another reading of the same point.
 */
export type MeasuredThen = { 
/**
 * Which.
 */
name: Ref, 
/**
 * As the list of readings has it.
 */
value: string, 
/**
 * Whether it is in its limits; nothing where it has none.
 */
verdict: Verdict | null, 
/**
 * The day.
 */
on: Day | null, 
/**
 * Whose.
 */
by: By, };

/**
 * Another device of the record, and how meeting it stands.
 */
export type MeetLine = { 
/**
 * Which.
 */
device: Id, 
/**
 * What its keeper calls it.
 */
name: string, 
/**
 * Whose it is.
 */
keeper_name: string, 
/**
 * How far the meeting is; `away` where there is none.
 */
phase: MeetPhase, 
/**
 * Since when it is here; nothing where it is not.
 */
since: Moment | null, 
/**
 * Changes that it took from here in this meeting.
 */
sent: number, 
/**
 * Changes that were taken from it in this meeting.
 */
got: number, 
/**
 * Changes that it lacks still.
 */
lacking_there: number, 
/**
 * Changes that are lacking here still.
 */
lacking_here: number, 
/**
 * Photos that are wanted of it and not here yet.
 */
photos_left: number, 
/**
 * Photos that came and were not the ones that were named.
 */
photos_wrong: number, 
/**
 * Whether both hold the same.
 */
alike: boolean, 
/**
 * Whether both should hold the same and do not.
 */
difference: boolean, 
/**
 * When the two last met, by carry file or live.
 */
last_met: Moment | null, 
/**
 * Why the last meeting with it ended.
 */
ended: string | null, };

/**
 * Looks for every device of the record at once, whenever that would have been due; answers before it is known who comes.
 */
export type MeetNow = Record<symbol, never>;

/**
 * How far a meeting is.
 */
export type MeetPhase = "away" | "greeting" | "changes" | "photos" | "live";

/**
 * What a carry in brought.
 */
export type Meeting = { 
/**
 * Whose device it came from.
 */
from: string, 
/**
 * Changes that were new here.
 */
changes: number, 
/**
 * Photos that were new here.
 */
photos: number, 
/**
 * Points to settle now.
 */
points: number, 
/**
 * What is to be said of it, and then what came in, in sentences; at most fifty of those.
 */
news: Array<string>, 
/**
 * The coming that tells of it by assembly; nothing where nothing came.
 */
coming: number | null, 
/**
 * Changes that were not taken in but set aside, since the device that wrote the file was revoked.
 */
aside: number, 
/**
 * Whether those are not kept either: as much is set aside as this device keeps.
 */
aside_not_kept: boolean, };

/**
 * Who is here, and how meeting each device stands.
 */
export type Meetings = Record<symbol, never>;

/**
 * Meetings as they stand.
 */
export type MeetingsPage = { 
/**
 * Whether the keeper lets this device meet others.
 */
on: boolean, 
/**
 * Whether it is reachable now: this program looks after meetings, and there is somebody to meet.
 */
listening: boolean, 
/**
 * A relay of one's own.
 */
relay: string | null, 
/**
 * Whether the internet's relays are used. They see the devices' keys and addresses, and when and how much they
 * exchange; never what.
 */
internet_relays: boolean, 
/**
 * Which originals are fetched.
 */
photos: PhotosWanted, 
/**
 * By which connections.
 */
photos_by: PhotosBy, 
/**
 * Whether the face says that this connection is paid by what it carries.
 */
metered: boolean, 
/**
 * The other standing devices of this record.
 */
devices: Array<MeetLine>, };

/**
 * A device of the record.
 */
export type MemberLine = { 
/**
 * Which.
 */
device: Id, 
/**
 * What its keeper calls it.
 */
name: string, 
/**
 * Whose it is.
 */
keeper_name: string, 
/**
 * Whether it is this one.
 */
this: boolean, 
/**
 * Set for one that was paired here and that the record does not name: whether it is still met.
 */
unnamed: boolean | null, 
/**
 * The key it is known by, 64 hex digits; nothing where it has never said one, so that it is met by carry file only.
 */
key: string | null, 
/**
 * Whether files can be sealed to it.
 */
sealed_to: boolean, 
/**
 * That it is met no more.
 */
revoked: Revoked | null, 
/**
 * Drops whose password it knew, or may have known, when that was said: it is to be changed there, and then here.
 */
knew: Array<KnewDrop>, };

/**
 * Which devices the record is kept on, and which of them are met no more.
 */
export type Members = Record<symbol, never>;

export type Mend = "file" | "hone" | "oversize" | "shim" | "machine" | "adjust" | "replace" | (string & {});

/**
 * A photo whose original is not on this device.
 */
export type MissingPhoto = { 
/**
 * The standing devices that have it, as far as is known: `Wilf's phone`. Whoever took it counts until it says
 * otherwise. Empty where nobody is known to have it.
 */
held_by: Array<string>, 
/**
 * Whether a small picture of it is here.
 */
small: boolean, 
/**
 * Whether it was asked for by hand, and comes as soon as a device that has it is met.
 */
asked: boolean, 
/**
 * Whether it stays where it is until it is asked for.
 */
waits: boolean, };

/**
 * A moment to the second, in UTC, as the device's own clock had it; written `2031-03-01T18:20:05Z`.
 *
 * Clocks of two devices disagree. It is shown to people and never decides which of two values stands.
 */
export type Moment = string;

/**
 * What a typed sum is.
 */
export type Money = { 
/**
 * What was typed.
 */
typed: string, 
/**
 * The currency of a sum that says none, by its three letters.
 */
currency: string, };

/**
 * Something that can be named in a list and gone to.
 */
export type Named = { 
/**
 * What it is.
 */
name: Ref, 
/**
 * What it is called.
 */
title: string, };

/**
 * A reading that does not meet a hold point by itself.
 */
export type NotBy = { 
/**
 * Which.
 */
reading: Id, 
/**
 * Why not.
 */
says: string, 
/**
 * Whether it meets it where somebody says why.
 */
with_a_word: boolean, };

/**
 * A note on a day sheet.
 */
export type Note = { 
/**
 * The day.
 */
day: Day, 
/**
 * The note.
 */
text: string, 
/**
 * The assembly that it is of as well.
 */
assembly?: Id | null, };

/**
 * A note of a day sheet that was written from inside the assembly.
 */
export type NoteLine = { 
/**
 * The sheet that it stands on.
 */
sheet: Ref, 
/**
 * Its day.
 */
day: Day, 
/**
 * Whose sheet.
 */
name: string, 
/**
 * The pattern of their line.
 */
pattern: string, 
/**
 * The note.
 */
text: string, };

/**
 * A note that is kept.
 */
export type Noted = { 
/**
 * Always true: what was not done is a refusal.
 */
done: boolean, 
/**
 * As it stands on the sheet.
 */
wrote: string, };

export type OldOne = "pattern" | "core_owed" | "to_sell" | "spare" | "scrap" | (string & {});

/**
 * An old part, of which somebody said what becomes of it.
 */
export type OldPartLine = { 
/**
 * The part in whose place another comes.
 */
part: Named, 
/**
 * What becomes of the old one.
 */
old_one: OldOne, 
/**
 * Where the part is, in words.
 */
lies: string, };

/**
 * A car whose pages read what another version of the program made.
 */
export type OldTables = { 
/**
 * Which.
 */
record: Id, 
/**
 * Why, and what that means, as a sentence.
 */
says: string, };

/**
 * A calculation of the bench that shows more of it, with what is known filled in.
 */
export type OnTheBench = { 
/**
 * The calculation.
 */
name: string, 
/**
 * What is known, by argument.
 */
inputs: { [key in string]: string }, };

/**
 * What is open inside an assembly, everything in it counted.
 */
export type Open = { 
/**
 * Jobs.
 */
jobs: number, 
/**
 * Hold points.
 */
holds: number, 
/**
 * Findings of danger that have no end.
 */
dangers: number, 
/**
 * Other findings that are to be mended and have no end.
 */
findings: number, 
/**
 * Tightening runs that are begun and not done.
 */
runs: number, };

/**
 * What an edit gives: a field left out stays, `null` empties it.
 */
export type OrderFields = { 
/**
 * What.
 */
what?: string | null, 
/**
 * The part it is for.
 */
part?: Id | null, 
/**
 * How it stands.
 */
state?: OrderState | null, 
/**
 * From whom.
 */
from?: string | null, 
/**
 * What it costs.
 */
price?: string | null, 
/**
 * When it is due.
 */
due?: Day | null, 
/**
 * The day it was entered.
 */
on?: Day | null, 
/**
 * The reading that it mends.
 */
remedy_of?: Id | null, };

/**
 * An order in the list.
 */
export type OrderLine = { 
/**
 * Which.
 */
id: Id, 
/**
 * What.
 */
what: string, 
/**
 * The part it is for.
 */
part: Named | null, 
/**
 * How it stands.
 */
state: OrderState, 
/**
 * From whom.
 */
from: string | null, 
/**
 * `GBP 12.50`.
 */
price: string | null, 
/**
 * When it is due.
 */
due: Day | null, };

export type OrderState = "to_find" | "asked" | "ordered" | "in" | "returned" | "cancelled" | (string & {});

/**
 * What is the car's own: jobs and hold points of no assembly, and readings of the whole car.
 */
export type OwnOf = Record<symbol, never>;

/**
 * What a pairing is about, told before the digits are confirmed.
 */
export type PairAbout = { 
/**
 * The car: as it is called here, where it is kept here.
 */
car: string, 
/**
 * Whose device is at the other end, as it says of itself.
 */
with: string, 
/**
 * Whether whoever comes keeps the record already.
 */
kept: boolean, 
/**
 * What it would change, a sentence each.
 */
says: Array<string>, 
/**
 * Why nothing can come of it.
 */
cannot: string | null, };

/**
 * How pairing stands, with the digits that both keepers compare.
 */
export type PairCode = Record<symbol, never>;

/**
 * The keeper's word on whether both devices show the same digits; no ends the pairing.
 */
export type PairConfirm = { 
/**
 * Whether they are the same.
 */
yes: boolean, };

/**
 * Follows a ticket that another device shows, or digits that its keeper reads out. All of its record comes here once both keepers have confirmed.
 */
export type PairJoin = { 
/**
 * The ticket, as text; or the eight digits that the other keeper reads out, for a device on the same network.
 */
ticket: string, 
/**
 * Whose device this is: a keeper of the record by name, or a new one. Needed where nobody is known here yet.
 */
keeper?: string | null, 
/**
 * What this device is called.
 */
device_name?: string | null, };

/**
 * Opens a ticket by which one more device can be paired: two minutes, one guest, three tries.
 */
export type PairOpen = { 
/**
 * Eight digits to read out instead of a ticket, for a device on the same network.
 */
voice?: boolean | null, };

/**
 * How pairing stands.
 */
export type PairState = "closed" | "open" | "reaching" | "compare" | "waiting" | "paired" | "ended";

/**
 * A ticket by which another device can be paired.
 */
export type PairTicket = { 
/**
 * As text: the ticket, or the eight digits to read out.
 */
ticket: string, 
/**
 * Whether it is digits to read out, for a device on the same network.
 */
voice: boolean, 
/**
 * As the modules of a QR code, row by row from the top, true for dark; the quiet zone of four modules around it
 * is the drawer's to add. None for digits.
 */
qr: Array<Array<boolean>>, 
/**
 * Seconds that it lives.
 */
seconds: number, };

/**
 * Pairing as it stands.
 */
export type Pairs = { 
/**
 * How far it is.
 */
state: PairState, 
/**
 * The ticket that is shown, or the digits to read out.
 */
ticket: string | null, 
/**
 * The digits to compare.
 */
code: string | null, 
/**
 * What it is about; there as soon as the digits are.
 */
about: PairAbout | null, 
/**
 * Whose device was paired.
 */
with: string | null, 
/**
 * What went wrong.
 */
words: string | null, 
/**
 * How often a guest may still be wrong before the ticket ends; counts on the side that shows it.
 */
tries: number, 
/**
 * Seconds that are left of the ticket.
 */
seconds: number, };

/**
 * What an edit gives: a field left out stays, `null` empties it.
 */
export type PartFields = { 
/**
 * What it is called.
 */
name?: string | null, 
/**
 * The assembly it belongs in.
 */
assembly?: Id | null, 
/**
 * Where in it: cylinder 3, left front.
 */
position?: string | null, 
/**
 * Which way round, which way up, at which clock position.
 */
way_round?: string | null, 
/**
 * Where it comes along the shaft: an order key, compared as text. What has none stands in no row.
 */
order?: string | null, 
/**
 * What is cut, scribed or punched into it: where, and what it means.
 */
marks?: string | null, 
/**
 * How many of them.
 */
quantity?: number | null, 
/**
 * The number stamped on it or its number in a catalogue.
 */
number?: string | null, 
/**
 * What is to become of it.
 */
decision?: Decision | null, 
/**
 * Why.
 */
decision_why?: string | null, 
/**
 * What becomes of the old one, when another comes in its place.
 */
old_one?: OldOne | null, 
/**
 * Where it lies.
 */
container?: string | null, 
/**
 * How it is not as it should be.
 */
differs?: Differs | null, 
/**
 * Of a stand-in, until what comes; else why it is so.
 */
differs_why?: string | null, 
/**
 * It may be used only once and is bought new each time.
 */
use_once?: boolean | null, 
/**
 * Whatever else is known of it.
 */
note?: string | null, 
/**
 * The day it was entered.
 */
on?: Day | null, };

/**
 * A part in a list.
 */
export type PartLine = { 
/**
 * Which.
 */
id: Id, 
/**
 * What it is called.
 */
name: string, 
/**
 * Where in the assembly.
 */
position: string | null, 
/**
 * Which way round.
 */
way_round: string | null, 
/**
 * Whether it stands in the row along the shaft, in the order of the list.
 */
in_row: boolean, 
/**
 * Whether two said its place in the row apart.
 */
row_contradicts: boolean, 
/**
 * Whether it is an empty place: nothing belongs there.
 */
nothing: boolean, 
/**
 * What is cut, scribed or punched into it.
 */
marks: string | null, 
/**
 * How many.
 */
quantity: number | null, 
/**
 * Stamped or catalogue number.
 */
number: string | null, 
/**
 * What is to become of it.
 */
decision: Decision | null, 
/**
 * Why.
 */
decision_why: string | null, 
/**
 * How it is not as it should be.
 */
differs: Differs | null, 
/**
 * Until what comes, or why so.
 */
differs_why: string | null, 
/**
 * What becomes of the old one, when another comes in its place.
 */
old_one: OldOne | null, 
/**
 * Bought new each time.
 */
use_once: boolean, 
/**
 * Where it lies, in words: `in the car: gearbox lid`, `B12, in X4, right-hand shelves`.
 */
lies: string, 
/**
 * Whether any of its fields has two values.
 */
contradicts: boolean, 
/**
 * Struck out.
 */
struck: StruckOut | null, };

/**
 * Six words that a file may be sealed to.
 */
export type Passphrase = Record<symbol, never>;

/**
 * What changed: ask again for whatever shows it.
 */
export type Patch = { 
/**
 * The record.
 */
record: Id, 
/**
 * The entities whose rows were replaced.
 */
touched: Array<Ref>, 
/**
 * What was changed, in the marks that an [`Answered`] says it looked at; empty where it may be anything.
 */
marks: Array<string>, 
/**
 * Whether the points to settle may have changed.
 */
points: boolean, 
/**
 * How far long work is. Nothing of the record is other by it: there is nothing to ask again.
 */
underway?: Underway, };

export type Pattern = "plain" | "dashed" | "dotted" | "double" | (string & {});

/**
 * Asks for one original by hand. It comes as soon as a device that has it is met, or a drop that it lies in is looked at, by whatever connection.
 */
export type PhotoFetch = { 
/**
 * Which.
 */
photo: Id, };

/**
 * What an edit gives: a field left out stays, `null` empties it.
 */
export type PhotoFields = { 
/**
 * BLAKE3 of the original's bytes, 64 hex digits.
 */
hash?: string | null, 
/**
 * What is to be seen.
 */
caption?: string | null, 
/**
 * What it shows; nothing while that is left for later.
 */
about?: Ref | null, 
/**
 * When in the work it was taken.
 */
stage?: Stage | null, 
/**
 * The day.
 */
on?: Day | null, };

/**
 * A photo in a list.
 */
export type PhotoLine = { 
/**
 * Which.
 */
id: Id, 
/**
 * The hash that its bytes are asked for by.
 */
hash: string, 
/**
 * What is to be seen.
 */
caption: string | null, 
/**
 * What it shows.
 */
about: Named | null, 
/**
 * When in the work.
 */
stage: Stage | null, 
/**
 * The day.
 */
on: Day | null, 
/**
 * Whether its original is on this device.
 */
here: boolean, 
/**
 * Whether it is here and kept whole, but would take too much memory for a small picture to be drawn of it.
 */
not_drawn: boolean, 
/**
 * Who has the original, where this device has it not.
 */
missing: MissingPhoto | null, 
/**
 * Width of the original in pixels, where known.
 */
width: number | null, 
/**
 * Height.
 */
height: number | null, 
/**
 * Whose.
 */
by: By, 
/**
 * Struck out.
 */
struck: StruckOut | null, };

/**
 * One of many photos that were entered.
 */
export type PhotoMade = { 
/**
 * The photo.
 */
id: Id, 
/**
 * Whether the record had this picture before, so that it was not entered again.
 */
was_here: boolean, };

/**
 * A photo as it stands on this device: here, or who has it.
 */
export type PhotoOf = { 
/**
 * Which.
 */
photo: Id, };

/**
 * By which connections originals are fetched that were not asked for by hand.
 */
export type PhotosBy = "always" | "unmetered";

/**
 * Many photos that were entered.
 */
export type PhotosMade = { 
/**
 * Each, in the order in which they were given.
 */
photos: Array<PhotoMade>, };

/**
 * Which originals are fetched. Small pictures always are.
 */
export type PhotosWanted = "all" | "asked";

/**
 * The photos on which something is to be seen: those that are about it, and those that a finding names.
 */
export type Pictures = { 
/**
 * Of what.
 */
about: Ref, };

/**
 * A point to settle, ready to be shown.
 */
export type PointOut = { 
/**
 * The same on every device.
 */
id: string, 
/**
 * Which rule found it.
 */
rule: Rule, 
/**
 * One line that says what it is.
 */
title: string, 
/**
 * What is asked, in whole words: the line for a list.
 */
asks: string, 
/**
 * The point that it is asked with, where one disagreement made several; else itself. A list shows those alone that are asked
 * by themselves.
 */
question: string, 
/**
 * What it is about.
 */
about: Array<Ref>, 
/**
 * The same with titles, where the sides are about something else.
 */
things: Array<Named>, 
/**
 * The field, for two values.
 */
field: string | null, 
/**
 * Both sides, or more.
 */
sides: Array<SideOut>, 
/**
 * Ways to settle it.
 */
choices: Array<Choice>, };

/**
 * Points to settle, in one order on every device.
 */
export type Points = Record<symbol, never>;

export type Property = "size" | "out_of_round" | "taper" | (string & {});

/**
 * A passphrase that is proposed. It is kept nowhere.
 */
export type Proposed = { 
/**
 * Six words.
 */
words: string, };

/**
 * An earlier value, to be put again.
 */
export type PutBack = { 
/**
 * As a form takes it; nothing to empty the field.
 */
value: FormValue | null, };

/**
 * Puts your hours at the bench of a day.
 */
export type PutHours = { 
/**
 * The day.
 */
day: Day, 
/**
 * Hours, such as `2.5`; empty takes them away.
 */
hours: string, };

/**
 * Puts parts where they belong: out of their bags, off the bench, back from whoever had them; one change.
 */
export type PutInPlace = { 
/**
 * Which.
 */
parts: Array<Id>, };

/**
 * What is measured. Each kind has one base unit, in which exact values are kept.
 */
export type QuantityKind = "number" | "length" | "area" | "volume" | "mass" | "density" | "force" | "torque" | "pressure" | "angle" | "temperature" | "speed" | "turning" | "time" | "spring_rate" | "voltage" | "current" | "resistance" | "power";

/**
 * One way to settle it.
 */
export type QuestionChoice = { 
/**
 * What is sent back.
 */
key: string, 
/**
 * Whether a reason must be given with it.
 */
wants_why: boolean, 
/**
 * What it does, naming the thing.
 */
says: string, 
/**
 * What is to be done with one's hands then; often nothing.
 */
now: Array<string>, 
/**
 * What it puts back of what was settled otherwise, where one of several settlements is to hold.
 */
puts: string | null, };

/**
 * One point to settle, told as a talk: who did what, what stood before, and what each choice comes to. Nothing where it is settled.
 */
export type QuestionOf = { 
/**
 * The point, or one that is asked with it.
 */
point: string, };

/**
 * One question, with all that is needed to settle it.
 */
export type QuestionPage = { 
/**
 * Its identity: that of the point it is asked by.
 */
id: string, 
/**
 * Every point that is settled with it.
 */
points: Array<string>, 
/**
 * Which rule found it.
 */
rule: Rule, 
/**
 * What is asked.
 */
asks: string, 
/**
 * The usual cautions, where it is about what was closed over.
 */
cautions: Array<AnswerNote>, 
/**
 * Both sides, or more, in the order of their keepers' clocks.
 */
sides: Array<QuestionSide>, 
/**
 * Where it was settled before and is reopened.
 */
reopened: ReopenedLine | null, 
/**
 * What stood before they parted, where that is known and the same for all.
 */
before: SaidBefore | null, 
/**
 * What it is about, each once.
 */
things: Array<Named>, 
/**
 * The newest photos of that, at most six.
 */
photos: Array<PhotoLine>, 
/**
 * Ways to settle it.
 */
choices: Array<QuestionChoice>, 
/**
 * Where none of the values is right: the entry whose value can be written anew.
 */
neither: Ref | null, 
/**
 * How the other is asked; nothing where all of it is one keeper's own.
 */
ask: AskOther | null, 
/**
 * Which of all that are to be settled it is, from 1.
 */
place: number, 
/**
 * How many there are.
 */
of: number, 
/**
 * The one after it, or the first again; nothing where it is the only one.
 */
next: string | null, };

/**
 * One side of a question.
 */
export type QuestionSide = { 
/**
 * `side_1`, `side_2`, …
 */
key: string, 
/**
 * What it is about.
 */
about: Named, 
/**
 * What its keeper did, as a sentence.
 */
did: string, 
/**
 * What they said, where the question is which of several holds: all that is one thing said.
 */
says: Array<SaidSo>, 
/**
 * The value as it was typed, where it is of a reading.
 */
value: string | null, 
/**
 * Who, where, when.
 */
by: By, 
/**
 * What its keeper could know of the other, in words.
 */
knew: string, };

/**
 * Says that a coming was read, as far as it has come.
 */
export type ReadComing = { 
/**
 * Which.
 */
coming: number, };

/**
 * What an edit gives: a field left out stays, `null` empties it.
 */
export type ReadingFields = { 
/**
 * What was measured.
 */
what?: string | null, 
/**
 * On which part or assembly, or of the whole car.
 */
about?: Ref | null, 
/**
 * At which point: cylinder 2, top, across.
 */
at?: string | null, 
/**
 * The value, as typed; the first, where it was measured again. Nothing for a grid.
 */
value?: string | null, 
/**
 * The same point measured again, with the same instrument.
 */
again?: string | null, 
/**
 * Many points in one entry: the rows are heights from the top down, the columns directions.
 */
grid?: string | null, 
/**
 * What the rows and columns of the grid are: `top, middle, bottom; across, along`.
 */
grid_names?: string | null, 
/**
 * With what.
 */
instrument?: Id | null, 
/**
 * Against which limit.
 */
limit?: Id | null, 
/**
 * Against which others: taper beside size, the wear limit beside that of a new part.
 */
more_limits?: Array<Id> | null, 
/**
 * How warm it was.
 */
temperature?: string | null, 
/**
 * The other readings of its point that its writer had before them, each with a mark of what it said then, or `none`: put by the
 * program with what was measured.
 */
knew_of?: string | null, 
/**
 * The day.
 */
on?: Day | null, };

/**
 * A reading in a list, judged by its instrument as the record stands now.
 */
export type ReadingLine = { 
/**
 * Which.
 */
id: Id, 
/**
 * What was measured.
 */
what: string, 
/**
 * On what.
 */
about: Named, 
/**
 * At which point.
 */
at: string | null, 
/**
 * As typed; of several, their mean and how many; of a grid, how many points and from where to where.
 */
value: string, 
/**
 * The same point measured again, each as typed; empty where it was measured once.
 */
again: Array<string>, 
/**
 * Many points in one entry; nothing for one.
 */
grid: GridShown | null, 
/**
 * The instrument.
 */
instrument: Named | null, 
/**
 * Whether it is in its limits, as far as its instrument can say: the gravest of `judged`; nothing where it has no limit.
 */
verdict: Verdict | null, 
/**
 * The limit in words: `0.05 to 0.20 mm, new, Workshop manual 2nd edition p. 41`.
 */
limit: string | null, 
/**
 * What each of its limits says, in order.
 */
judged: Array<Judged>, 
/**
 * What mends it, or decides it; what was made of it and still stands is among them.
 */
remedies: Array<RemedyLine>, 
/**
 * How warm it was, as typed.
 */
temperature: string | null, 
/**
 * The day.
 */
on: Day | null, 
/**
 * Whose.
 */
by: By, 
/**
 * What was measured since at the same point, by somebody who had this one before them: it is asked about no more.
 */
since: MeasuredThen | null, };

/**
 * A reading as it stands: judged by its instrument, with what mends it, whatever it is on.
 */
export type ReadingOf = { 
/**
 * Which.
 */
id: Id, };

/**
 * A reading on its own page, beside the others of its point.
 */
export type ReadingPage = { 
/**
 * Those that it takes the place of, the earliest first.
 */
before: Array<MeasuredThen>, 
/**
 * Those that take its place, the earliest first.
 */
after: Array<MeasuredThen>, 
/**
 * Those of whose writers none could know of the other: neither takes the other's place.
 */
apart: Array<MeasuredThen>, 
/**
 * Which.
 */
id: Id, 
/**
 * What was measured.
 */
what: string, 
/**
 * On what.
 */
about: Named, 
/**
 * At which point.
 */
at: string | null, 
/**
 * As typed; of several, their mean and how many; of a grid, how many points and from where to where.
 */
value: string, 
/**
 * The same point measured again, each as typed; empty where it was measured once.
 */
again: Array<string>, 
/**
 * Many points in one entry; nothing for one.
 */
grid: GridShown | null, 
/**
 * The instrument.
 */
instrument: Named | null, 
/**
 * Whether it is in its limits, as far as its instrument can say: the gravest of `judged`; nothing where it has no limit.
 */
verdict: Verdict | null, 
/**
 * The limit in words: `0.05 to 0.20 mm, new, Workshop manual 2nd edition p. 41`.
 */
limit: string | null, 
/**
 * What each of its limits says, in order.
 */
judged: Array<Judged>, 
/**
 * What mends it, or decides it; what was made of it and still stands is among them.
 */
remedies: Array<RemedyLine>, 
/**
 * How warm it was, as typed.
 */
temperature: string | null, 
/**
 * The day.
 */
on: Day | null, 
/**
 * Whose.
 */
by: By, 
/**
 * What was measured since at the same point, by somebody who had this one before them: it is asked about no more.
 */
since: MeasuredThen | null, };

/**
 * Makes the read tables anew from the document.
 */
export type Rebuild = Record<symbol, never>;

/**
 * What a rebuild made.
 */
export type RebuildReport = { 
/**
 * Entries made anew.
 */
entries: number, 
/**
 * Points found.
 */
points: number, 
/**
 * Whether the tables are now other than they were.
 */
changed: boolean, };

/**
 * Answers a calculation from what was typed.
 */
export type Reckon = { 
/**
 * Which calculator.
 */
name: string, 
/**
 * What was typed, by argument.
 */
inputs: { [key in string]: string }, 
/**
 * Units and the like, as this keeper prefers them.
 */
preferences?: ReckonPreferences, };

/**
 * What a keeper prefers. It lives on each device, not in the record.
 */
export type ReckonPreferences = { 
/**
 * Which units answers are in.
 */
units: Units, 
/**
 * Is a bare number taken to be in the argument's unit, because that unit stands beside the field? Otherwise it is
 * asked about.
 */
bare_numbers: boolean, };

/**
 * One problem with one argument, or with all of them together.
 */
export type ReckonProblem = { 
/**
 * Why.
 */
code: ReckonRefusalCode, 
/**
 * The argument's name; empty where it is not about one.
 */
argument: string, 
/**
 * One sentence; a range is named in it.
 */
words: string, 
/**
 * Readings offered for an unclear text.
 */
candidates: Array<Candidate>, };

/**
 * A calculation that is not answered. Holds at least one problem.
 */
export type ReckonRefusal = { 
/**
 * Every problem found, in the order of the arguments.
 */
problems: Array<ReckonProblem>, };

/**
 * Why an argument, or the whole, was refused. Stable: a face may branch on it.
 */
export type ReckonRefusalCode = "unknown_calculation" | "unknown_argument" | "missing" | "unclear" | "out_of_range" | "not_a_choice" | "impossible" | "nothing_to_reckon";

/**
 * A digest of a record and its photos.
 */
export type RecordDigest = { 
/**
 * BLAKE3 over the document's digest and the photos it names.
 */
digest: string, 
/**
 * The newest changes.
 */
heads: Array<string>, 
/**
 * How many changes.
 */
changes: number, 
/**
 * How many entries.
 */
entries: number, 
/**
 * How many photos it names.
 */
photos: number, 
/**
 * How many points are to be settled.
 */
points: number, };

/**
 * A car that this device keeps.
 */
export type RecordLine = { 
/**
 * The record.
 */
id: Id, 
/**
 * What the car is called.
 */
car: string, 
/**
 * This device's keeper.
 */
keeper: Id, 
/**
 * Their name.
 */
keeper_name: string, 
/**
 * This device.
 */
device: Id, 
/**
 * Whether it is the one shown last on this device.
 */
current: boolean, };

/**
 * Lists the cars that this device keeps.
 */
export type Records = Record<symbol, never>;

/**
 * A reference that says its kind, written `part:0190…`.
 */
export type Ref = string;

/**
 * What mends a reading, or would decide it.
 */
export type RemedyLine = { 
/**
 * What it is taken by.
 */
key: string, 
/**
 * How it mends; nothing for measuring again, or for something that was made of the reading and is not proposed now.
 */
mends: Mend | null, 
/**
 * What to do and by how much.
 */
words: string, 
/**
 * What it becomes.
 */
makes: Makes, 
/**
 * What the job or order says.
 */
title: string, 
/**
 * What to mind.
 */
cautions: Array<AnswerNote>, 
/**
 * The job or order that it was made into; it cannot be taken again while that stands.
 */
taken: Named | null, 
/**
 * Where the bench shows more of it.
 */
calculation: OnTheBench | null, };

/**
 * Reopens what was agreed: its point stands again, with both sides as they were and who reopened it and why.
 */
export type Reopen = { 
/**
 * One of the settlements of that act.
 */
settlement: Id, 
/**
 * Why.
 */
why: string, };

/**
 * That something agreed was reopened.
 */
export type ReopenedLine = { 
/**
 * What was agreed before.
 */
came_to: string, 
/**
 * Who had settled it, and when.
 */
agreed_by: By, 
/**
 * Why it was agreed so.
 */
agreed_why: string | null, 
/**
 * Who reopened it, and when.
 */
by: By, 
/**
 * Why.
 */
why: string, 
/**
 * What others said of it apart from that.
 */
apart: Array<ApartLine>, };

/**
 * Says that a device is met no more: lost, sold, stolen. It stands for good.
 */
export type Revoke = { 
/**
 * Which.
 */
device: Id, 
/**
 * Why.
 */
why: string, };

/**
 * That a device is met no more.
 */
export type Revoked = { 
/**
 * Why.
 */
why: string, 
/**
 * Who said so, where, when.
 */
by: By, };

/**
 * By which road something came.
 */
export type Road = "file" | "live" | "drop" | "joined";

/**
 * The rules, in the order their points are listed.
 */
export type Rule = "closed_over_job" | "closed_over_hold" | "closed_over_run" | "closed_over_finding" | "closed_over_reading" | "closed_over_wanted" | "closed_over_stored" | "closed_over_assembly" | "ended_apart" | "met_apart" | "tightened_apart" | "said_apart" | "struck_worked_on" | "in_each_other" | "settled_two_ways" | "two_values" | "same_code" | "two_orders" | "readings_differ";

/**
 * A tightening run in a list.
 */
export type RunLine = { 
/**
 * Which.
 */
id: Id, 
/**
 * What is tightened.
 */
what: string, 
/**
 * The assembly that it holds together.
 */
assembly: Named, 
/**
 * The torque of the last pass, as typed.
 */
torque: string, 
/**
 * How many bolts.
 */
bolts: number, 
/**
 * Turns of the wrench done, over all passes.
 */
done: number, 
/**
 * Of how many.
 */
of: number, 
/**
 * Whether it is unfinished, and not struck out.
 */
open: boolean, 
/**
 * What the torque holds for.
 */
conditions: string, 
/**
 * The day it was begun.
 */
on: Day | null, 
/**
 * Whose.
 */
by: By, 
/**
 * Struck out.
 */
struck: StruckOut | null, };

/**
 * The next turn of the wrench.
 */
export type RunNext = { 
/**
 * The pass, from 1.
 */
pass: number, 
/**
 * The bolt.
 */
place: number, 
/**
 * The torque.
 */
torque: string, 
/**
 * All of it in a sentence.
 */
words: string, };

/**
 * A tightening run, as it stands.
 */
export type RunPage = { 
/**
 * Its line.
 */
line: RunLine, 
/**
 * How the bolts lie.
 */
layout: Layout, 
/**
 * Where each lies in the picture.
 */
places: Array<RunPlace>, 
/**
 * The passes.
 */
passes: Array<RunPass>, 
/**
 * The bolts of which it is to be settled whether they are tight.
 */
disputed: Array<number>, 
/**
 * The points that are to be settled about it, each with what it asks.
 */
asks: Array<AskedOf>, 
/**
 * What is next; nothing when all is done.
 */
next: RunNext | null, 
/**
 * What was done, the first first.
 */
log: Array<TightenedLine>, 
/**
 * The wrench.
 */
instrument: Named | null, 
/**
 * When the wrench was last checked and against what, in words; nothing without a wrench.
 */
wrench: string | null, 
/**
 * Where the torque comes from.
 */
source: string | null, 
/**
 * What the order and the torque hold for, the keeper's own first.
 */
conditions: Array<string>, 
/**
 * What to mind.
 */
cautions: Array<string>, };

/**
 * One pass over all bolts.
 */
export type RunPass = { 
/**
 * Which pass, from 1.
 */
number: number, 
/**
 * Per cent of the last torque.
 */
percent: number, 
/**
 * Its torque, for showing.
 */
torque: string, 
/**
 * The bolts in their order.
 */
order: Array<number>, 
/**
 * Those that are tight.
 */
done: Array<number>, 
/**
 * Whether it is the last round, from bolt to bolt at the full torque.
 */
last_round: boolean, };

/**
 * Where a bolt lies in the picture.
 */
export type RunPlace = { 
/**
 * The bolt's number, from 1.
 */
number: number, 
/**
 * From the left, 0 to 1.
 */
x: number, 
/**
 * From the top, 0 to 1.
 */
y: number, };

/**
 * What stood before the two parted.
 */
export type SaidBefore = { 
/**
 * What it was.
 */
says: Array<SaidSo>, 
/**
 * Who had put the first of it, and when; nothing where it was empty.
 */
by: By | null, };

/**
 * Something that was said: what of, and what.
 */
export type SaidSo = { 
/**
 * What of: the field as a form calls it.
 */
label: string, 
/**
 * What.
 */
words: string, };

/**
 * Where the last words are: the one line at the top of every screen.
 */
export type Saved = { 
/**
 * Changes made on this device that no other device is known to have.
 */
only_here: number, 
/**
 * When the first of those was made.
 */
since: Moment | null, 
/**
 * Whether the record has a second device at all.
 */
alone: boolean, 
/**
 * How many devices keep the record beside this one; those that are met no more do not count.
 */
others: number, 
/**
 * The devices that are here now, to which every word goes at once; the one here longest stands first.
 */
here: Array<HereNow>, 
/**
 * The last meeting, whichever way.
 */
last_met: Moment | null, 
/**
 * How many points are to be settled.
 */
points: number, 
/**
 * Where this device was revoked and knows it: who said so and when, and the one way on, in a sentence.
 */
revoked: string | null, };

/**
 * Says where the last words are.
 */
export type SavedWhere = Record<symbol, never>;

/**
 * Says how the car stands, each thing by itself so that each can be ended by itself; one change.
 */
export type SayHowItStands = { 
/**
 * What anyone must know: `on stands`, `no brakes`.
 */
said: Array<string>, 
/**
 * The day.
 */
on: Day, };

/**
 * A stored value. Measures, money, dates, words and references are lines with a fixed spelling.
 */
export type Scalar = boolean | number | string;

/**
 * Finds entries by the beginnings of their words; the sixty that fit best, where there are more.
 */
export type Search = { 
/**
 * What is looked for.
 */
text: string, };

/**
 * What was seen of a hold point before it was open again.
 */
export type SeenBefore = { 
/**
 * What was seen.
 */
words: string, 
/**
 * The day that it was met, where it was said.
 */
on: Day | null, 
/**
 * Who wrote that, when.
 */
by: By, };

/**
 * Settles a point by one of its choices.
 */
export type Settle = { 
/**
 * Which.
 */
point: string, 
/**
 * One of its choices' keys.
 */
choice: string, 
/**
 * Why; some choices want it.
 */
why?: string | null, };

/**
 * One side of a point, ready to be shown.
 */
export type SideOut = { 
/**
 * `side_1`, `side_2`, …
 */
key: string, 
/**
 * What it is about.
 */
about: Named, 
/**
 * The value, where the point is about values.
 */
value: Scalar | null, 
/**
 * The value in words: a reference by its title, a set element as in or out, a word without underscores.
 */
said: string, 
/**
 * Who, where, when.
 */
by: By, 
/**
 * Whether its writer had the other side's entry.
 */
knew_other: boolean, };

/**
 * Parts of an assembly as they are stacked.
 */
export type StackParts = { 
/**
 * The assembly.
 */
assembly: Id, 
/**
 * Its parts from one end to the other; one that is not among them stands in no row.
 */
parts: Array<Id>, };

export type Stage = "before" | "during" | "after" | (string & {});

/**
 * Who wrote something, on which device, when, and in which change.
 */
export type Stamp = { 
/**
 * The device; nothing for what the program itself laid down.
 */
device: Id | null, 
/**
 * By that device's own clock.
 */
at: Moment, 
/**
 * The change that wrote it.
 */
change: ChangeId, };

/**
 * How much a source weighs.
 */
export type Standing = "published" | "derived" | "common_practice" | "from_memory" | "given";

/**
 * Begins the record of a car on this device.
 */
export type StartRecord = { 
/**
 * What the car is called.
 */
car: string, 
/**
 * The first keeper's name.
 */
keeper: string, 
/**
 * What this device is called.
 */
device_name?: string | null, };

/**
 * Stops long work.
 */
export type Stop = { 
/**
 * Its number.
 */
number: number, };

/**
 * Containers, what is nowhere, and orders.
 */
export type Stores = Record<symbol, never>;

/**
 * The Stores place.
 */
export type StoresPage = { 
/**
 * Containers as they nest.
 */
containers: Array<ContainerLine>, 
/**
 * Containers that were struck out and in which something was left.
 */
in_struck: Array<InStruck>, 
/**
 * Parts that are in no container.
 */
nowhere: Array<Named>, 
/**
 * Orders, those still to be found first.
 */
orders: Array<OrderLine>, 
/**
 * Old parts, what is owed to somebody first, then what is to be sold.
 */
old_parts: Array<OldPartLine>, };

/**
 * Strikes an entry out, with a reason. It stays readable. What stands inside is never struck out of sight.
 */
export type Strike = { 
/**
 * Which, as `part:0190…`.
 */
name: Ref, 
/**
 * Why.
 */
why: string, 
/**
 * What becomes of what stands inside it: `move_up`, `strike_too` or `leave`. Wanted where something does.
 */
inside?: Becomes | null, 
/**
 * Into which assembly or container that moves, in place of the one around it.
 */
into?: Id | null, };

/**
 * What stands inside an entry, or was left in it, and where that could move to.
 */
export type StrikeCheck = { 
/**
 * Which, as `assembly:0190…`.
 */
name: Ref, };

/**
 * Photos that are struck out by one change.
 */
export type StrikePhotos = { 
/**
 * Which.
 */
photos: Array<Id>, 
/**
 * Why.
 */
why: string, };

/**
 * A line through an entry: why, and by whom.
 */
export type StruckOut = { 
/**
 * Why.
 */
why: string, 
/**
 * Who and when.
 */
by: By, };

/**
 * A sum of money.
 */
export type Sum = { 
/**
 * As a record keeps it: `GBP 86.00`.
 */
kept: string, };

/**
 * Takes a strike back, and with it what was struck out inside in the same act.
 */
export type TakeBack = { 
/**
 * Which, as `part:0190…`.
 */
name: Ref, };

/**
 * Takes back that this device closed an assembly up by a slip: nothing in it is asked anew.
 */
export type TakeBackClosing = { 
/**
 * Which.
 */
assembly: Id, 
/**
 * How it stands.
 */
state: AssemblyState, };

/**
 * Makes a proposed remedy of a reading into a job or an order.
 */
export type TakeRemedy = { 
/**
 * The reading.
 */
reading: Id, 
/**
 * The key of one of its remedies.
 */
key: string, 
/**
 * The day it is entered.
 */
on?: Day | null, 
/**
 * In which assembly the job is, where the reading is on a part in none.
 */
within?: Id | null, };

/**
 * A photo that is kept on this device.
 */
export type TakenPhoto = { 
/**
 * BLAKE3 of its bytes.
 */
hash: string, 
/**
 * Pixels across, as it is shown.
 */
width: number, 
/**
 * Pixels down.
 */
height: number, 
/**
 * Such as `image/jpeg`.
 */
mime: string, 
/**
 * Whether it is kept whole without a small picture, which would take too much memory to draw.
 */
not_drawn: boolean, 
/**
 * The day on which it was taken, by its camera's clock; nothing where its header does not say.
 */
taken_on: Day | null, 
/**
 * The hour and minute by that clock, such as `18:05`.
 */
taken_at: string | null, };

/**
 * Logs that the next bolt of a run is tight.
 */
export type Tighten = { 
/**
 * The run.
 */
run: Id, 
/**
 * The pass that the keeper saw, so that two taps log once.
 */
pass: number, 
/**
 * The bolt.
 */
place: number, 
/**
 * The torque, where it was another than the pass's.
 */
torque?: string | null, 
/**
 * The wrench, where it was another than the run's.
 */
instrument?: Id | null, 
/**
 * The day.
 */
on: Day, };

/**
 * One bolt tightened in one pass.
 */
export type TightenedLine = { 
/**
 * Which.
 */
id: Id, 
/**
 * The pass, from 1.
 */
pass: number, 
/**
 * The bolt.
 */
place: number, 
/**
 * The torque, as typed.
 */
torque: string, 
/**
 * The wrench.
 */
instrument: Named | null, 
/**
 * The day.
 */
on: Day | null, 
/**
 * Whose.
 */
by: By, };

/**
 * What an edit gives: a field left out stays, `null` empties it.
 */
export type TighteningRunFields = { 
/**
 * What is tightened.
 */
what?: string | null, 
/**
 * The assembly that it holds together.
 */
assembly?: Id | null, 
/**
 * How the bolts lie.
 */
layout?: Layout | null, 
/**
 * How many bolts.
 */
bolts?: number | null, 
/**
 * How many rows they lie in, where they do.
 */
rows?: number | null, 
/**
 * The torque of the last pass.
 */
torque?: string | null, 
/**
 * The passes, per cent of it: `30, 60, 100`.
 */
passes?: string | null, 
/**
 * What the torque holds for: threads dry or oiled, washers, grade.
 */
conditions?: string | null, 
/**
 * Where the torque comes from: book, edition, page.
 */
source?: string | null, 
/**
 * The wrench.
 */
instrument?: Id | null, 
/**
 * The day it was begun.
 */
on?: Day | null, };

/**
 * A tightening run as it stands: what is tight and which bolt is next.
 */
export type TighteningRunOf = { 
/**
 * Which.
 */
id: Id, };

/**
 * One thing that can hurt somebody, and has no end.
 */
export type Tonight = { 
/**
 * The finding that says so.
 */
name: Ref, 
/**
 * What it says.
 */
what: string, 
/**
 * What it is about; nothing where that is the car as it stands.
 */
about: Named | null, 
/**
 * The assembly that is in, where it is not itself one.
 */
within: Named | null, 
/**
 * Whether what is around it is closed, so that nobody sees it.
 */
closed: boolean, 
/**
 * The job that is to mend it.
 */
job: Named | null, 
/**
 * Whether it is only suspected, and nobody has looked since.
 */
suspected: boolean, 
/**
 * Why it is lived with, where somebody says so: it is a danger all the same.
 */
lived_with: string | null, 
/**
 * Whether somebody has said how it ended: by a job that is not done yet, or at odds with another.
 */
ended: boolean, 
/**
 * Whether it is among the points to settle: two are not at one about it.
 */
asks: boolean, 
/**
 * Who said so, when.
 */
by: By, 
/**
 * The day it was said of.
 */
on: Day | null, };

/**
 * The whole of it, in order; no steps where there is none, or none any more.
 */
export type Tour = { 
/**
 * Screen by screen.
 */
steps: Array<TourStep>, };

/**
 * What there is to be shown round.
 */
export type TourOf = Record<symbol, never>;

/**
 * One screen of it.
 */
export type TourStep = { 
/**
 * What it is about, in a few words.
 */
title: string, 
/**
 * What there is to see, in a sentence or two.
 */
says: string, 
/**
 * Which of the five places: `day`, `car`, `bench`, `stores`, `keepers`.
 */
place: string, 
/**
 * What is shown there: a day, a thing by its name; empty for the place itself.
 */
thing: string, };

/**
 * What an edit gives: a field left out stays, `null` empties it.
 */
export type TryFields = { 
/**
 * The job.
 */
job?: Id | null, 
/**
 * What was done.
 */
what?: string | null, 
/**
 * With which tool.
 */
tool?: string | null, 
/**
 * What came of it.
 */
came_of_it?: string | null, 
/**
 * Whether it worked.
 */
worked?: boolean | null, 
/**
 * The day.
 */
on?: Day | null, };

/**
 * A try at a job.
 */
export type TryLine = { 
/**
 * Which.
 */
id: Id, 
/**
 * What was done.
 */
what: string, 
/**
 * With which tool.
 */
tool: string | null, 
/**
 * What came of it.
 */
came_of_it: string | null, 
/**
 * Whether it worked.
 */
worked: boolean | null, 
/**
 * The day.
 */
on: Day | null, 
/**
 * Whose.
 */
by: By, };

/**
 * Long work that goes on: a check, the read tables made anew, a carry file on its way out.
 */
export type Underway = { 
/**
 * The number by which it is stopped.
 */
number: number, 
/**
 * The command that it is.
 */
name: string, 
/**
 * How far it is, as a sentence says it.
 */
says: string, 
/**
 * Whether it can be stopped.
 */
can_be_stopped: boolean, 
/**
 * Whether it is over, done or stopped.
 */
over: boolean, };

/**
 * Takes back the last turn of a run: by every entry that logged it, should two devices have.
 */
export type UndoTightening = { 
/**
 * The run.
 */
run: Id, };

/**
 * The units a keeper prefers.
 */
export type Units = "metric" | "inch";

/**
 * What was not read yet, of all comings.
 */
export type Unread = { 
/**
 * The oldest coming of them: where to begin.
 */
first: number, 
/**
 * How many comings they are.
 */
comings: number, 
/**
 * How many things.
 */
things: number, 
/**
 * How many points to settle came with them and stand.
 */
points: number, };

/**
 * A value in words.
 */
export type ValueSaid = { 
/**
 * In words; of what it names, what that is called.
 */
words: string, 
/**
 * What a measure comes to exactly, where that says something else than what was typed.
 */
exact: string | null, 
/**
 * What it names.
 */
name: Ref | null, 
/**
 * Its word of a closed set, as it is kept.
 */
word: string | null, 
/**
 * The day that it is, for a face that writes days as its device does.
 */
day: Day | null, };

/**
 * What a reading says of its limit.
 */
export type Verdict = { 
/**
 * In limits, below, above, or too close to call.
 */
word: VerdictWord, 
/**
 * The verdict in a sentence: by how much, or what would decide it.
 */
words: string, };

/**
 * Tells each step at which the verdict of a reading changed, or what it hangs on did.
 */
export type VerdictHistory = { 
/**
 * The reading.
 */
id: Id, };

/**
 * One step in the history of a verdict.
 */
export type VerdictStep = { 
/**
 * When, by that device's clock.
 */
at: Moment, 
/**
 * Who changed it.
 */
by: By, 
/**
 * What changed: `limit 'ring gap': high changed from 0.30 mm to 0.25 mm`.
 */
words: string, 
/**
 * The verdict from then on; nothing where it had no limit then.
 */
verdict: Verdict | null, };

/**
 * The judgements there are.
 */
export type VerdictWord = "in_limits" | "below_limits" | "above_limits" | "too_close_to_call";

/**
 * What a job waits for.
 */
export type Waits = { 
/**
 * Which.
 */
on: Named, 
/**
 * How that stands, in words: an order's state, where a part is; nothing where there is nothing to say.
 */
stands: string | null, 
/**
 * Whether it is known to be over: the order is in, the hold point is met.
 */
over: boolean, };

/**
 * One thing that is waived.
 */
export type Waive = { 
/**
 * What stands in the way, as the check of the close-up names it.
 */
about: Ref, 
/**
 * Why the assembly is closed over it all the same.
 */
why: string, 
/**
 * Of which check; left out, of every one that found something about this thing.
 */
check?: ClosingCheck | null, 
/**
 * Which point; left out, every one of this assembly.
 */
point?: string | null, };

/**
 * What one coming brought.
 */
export type WhatCame = { 
/**
 * Which; the newest where nothing is said.
 */
coming?: number | null, };

/**
 * What differs from the book: every part that is not as it should be, what is in only for now first.
 */
export type WhatDiffers = Record<symbol, never>;

/**
 * The long work that goes on.
 */
export type WhatIsUnderway = Record<symbol, never>;

/**
 * Rewrites your own sheet of a day; what came in since you read it stays.
 */
export type WriteSheet = { 
/**
 * The day.
 */
day: Day, 
/**
 * The text as it was when you began to write.
 */
before: string, 
/**
 * The text as you left it.
 */
after: string, };

/**
 * Who wrote something, in words and as it is drawn.
 */
export type WrittenBy = { 
/**
 * `Nell Ashdown, phone`; the program, or a device that the record does not name.
 */
who: string, 
/**
 * The same apart, and when.
 */
by: By, };

/** Every command and query by its name. */
export interface Commands {
  /** Lists the cars that this device keeps. (query) */
  records: { args: Records; reply: Array<RecordLine> };
  /** Says where the last words are. (query) */
  saved: { args: SavedWhere; reply: Saved };
  /** What each keeper wrote and did on one date. (query) */
  day: { args: DayOf; reply: DayPage };
  /** How it stands tonight: what can hurt somebody and has no end. (query) */
  tonight: { args: HowItStands; reply: Array<Tonight> };
  /** What came in while one was away: each coming, and how much was not read yet. (query) */
  away: { args: Away; reply: AwayPage };
  /** What one coming brought, by assembly: points to settle first, then who did what. Nothing where nothing came yet. (query) */
  what_came: { args: WhatCame; reply: CamePage | null };
  /** Says that what one coming brought was read, as far as it has come. (command) */
  read_coming: { args: ReadComing; reply: Done };
  /** Jobs that are begun and left half done, each with where it stopped, what was said last first. (query) */
  begun: { args: Begun; reply: Array<JobLine> };
  /** The car and its assemblies, with what is open inside. (query) */
  car: { args: CarOf; reply: CarPage };
  /** What is the car's own: jobs and hold points of no assembly, and readings of the whole car. (query) */
  car_own: { args: OwnOf; reply: CarOwn };
  /** Inside an assembly. (query) */
  assembly: { args: AssemblyOf; reply: AssemblyPage };
  /** One finding: how it stands, and the jobs around it that could have mended it. (query) */
  finding: { args: FindingOf; reply: FindingPage };
  /** Keepers, devices, and what is to be settled. (query) */
  keepers: { args: Keepers; reply: KeepersPage };
  /** Points to settle, in one order on every device. (query) */
  points: { args: Points; reply: Array<PointOut> };
  /** One point to settle, told as a talk: who did what, what stood before, and what each choice comes to. Nothing where it is settled. (query) */
  question: { args: QuestionOf; reply: QuestionPage | null };
  /** What was agreed: what, why, by whom and when; the two hundred newest. (query) */
  agreed: { args: Agreed; reply: Array<AgreedLine> };
  /** What differs from the book: every part that is not as it should be, what is in only for now first. (query) */
  differs: { args: WhatDiffers; reply: Array<DiffersLine> };
  /** All that an earlier hand did: the findings that came by it, what is open first. (query) */
  earlier_hand: { args: EarlierHand; reply: Array<FindingLine> };
  /** Containers, what is nowhere, and orders. (query) */
  stores: { args: Stores; reply: StoresPage };
  /** Finds entries by the beginnings of their words; the sixty that fit best, where there are more. (query) */
  search: { args: Search; reply: Array<Hit> };
  /** What a trade word means, in one line, and what else it is called. (query) */
  explain: { args: Explain; reply: Array<Explained> };
  /** One entry: every field in words, what it names, every value that stands for it and who wrote that, and what to mind. (query) */
  entry: { args: EntryOf; reply: EntryPage };
  /** A photo as it stands on this device: here, or who has it. (query) */
  photo: { args: PhotoOf; reply: PhotoLine };
  /** The photos on which something is to be seen: those that are about it, and those that a finding names. (query) */
  pictures: { args: Pictures; reply: Array<PhotoLine> };
  /** Asks for one original by hand. It comes as soon as a device that has it is met, or a drop that it lies in is looked at, by whatever connection. (command) */
  photo_fetch: { args: PhotoFetch; reply: PhotoLine };
  /** Enters many photos whose bytes this device has taken, as one change; a picture that the record has is not entered again. (command) */
  add_photos: { args: AddPhotos; reply: PhotosMade };
  /** Strikes many photos out as one change, such as pictures that were taken in by a slip. (command) */
  strike_photos: { args: StrikePhotos; reply: Done };
  /** Says what the face knows of the network that this device is in. (command) */
  connection: { args: Connection; reply: Done };
  /** The newest changes of one entry, newest first, with what its fields read right after. (query) */
  history: { args: History; reply: Array<HistoryLine> };
  /** Names everything of one kind that stands. (query) */
  list: { args: List; reply: Array<Named> };
  /** What is there already that would be entered again, and which code is free. (query) */
  alike: { args: AlikeTo; reply: AlikePage };
  /** What stands in the way of closing an assembly up. (query) */
  close_up_check: { args: CloseUpCheck; reply: Array<Blocker> };
  /** What stands inside an entry, or was left in it, and where that could move to. (query) */
  strike_check: { args: StrikeCheck; reply: InsideOut };
  /** A digest of everything: the same on two devices that have the same. (query) */
  digest: { args: DigestOf; reply: RecordDigest };
  /** Reads everything and says in words what is wrong. It changes nothing. (query) */
  check: { args: Check; reply: HealthReport };
  /** Lists the calculators with what each takes. (query) */
  calculations: { args: Calculations; reply: Array<DescribedCalculation> };
  /** Answers a calculation from what was typed. (query) */
  reckon: { args: Reckon; reply: Answer };
  /** A sum of money as a record keeps it: one without a sign is in the currency given, one with a sign is in its own. (query) */
  money: { args: Money; reply: Sum };
  /** One reading as it stands: judged by its instrument, with what mends it, whatever it is on, and the others of its point. (query) */
  reading: { args: ReadingOf; reply: ReadingPage };
  /** Makes a proposed remedy of a reading into a job or an order. (command) */
  take_remedy: { args: TakeRemedy; reply: Made };
  /** Each step at which the verdict of a reading changed, or what it hangs on did, oldest first. (query) */
  verdict_history: { args: VerdictHistory; reply: Array<VerdictStep> };
  /** Reckons and keeps the answer with what was typed for it. (command) */
  keep_answer: { args: KeepAnswer; reply: Made };
  /** A kept answer, whole, with what the bench answers today. (query) */
  kept_answer: { args: KeptAnswerOf; reply: KeptPage };
  /** A tightening run as it stands: what is tight and which bolt is next. (query) */
  tightening_run: { args: TighteningRunOf; reply: RunPage };
  /** Logs that the next bolt of a tightening run is tight. (command) */
  tighten: { args: Tighten; reply: Made };
  /** Takes back the last turn of a tightening run: its bolt is the next again. (command) */
  undo_tightening: { args: UndoTightening; reply: Done };
  /** Enters another keeper. (command) */
  add_keeper: { args: AddKeeper; reply: Made };
  /** Enters an assembly. (command) */
  add_assembly: { args: AddAssembly; reply: Made };
  /** Enters a part. (command) */
  add_part: { args: AddPart; reply: Made };
  /** Enters what was found on a part or assembly. (command) */
  add_finding: { args: AddFinding; reply: Made };
  /** Enters work to do. (command) */
  add_job: { args: AddJob; reply: Made };
  /** Enters one attempt at a job and what came of it. (command) */
  add_try: { args: AddTry; reply: Made };
  /** Enters a photo whose bytes this device has taken. (command) */
  add_photo: { args: AddPhoto; reply: Made };
  /** Enters a bag, bin, box or shelf. (command) */
  add_container: { args: AddContainer; reply: Made };
  /** Enters a wanted value or range with its source. (command) */
  add_limit: { args: AddLimit; reply: Made };
  /** Enters what readings are made with. (command) */
  add_instrument: { args: AddInstrument; reply: Made };
  /** Enters a measured value. (command) */
  add_reading: { args: AddReading; reply: Made };
  /** Enters something to find, ask for or buy. (command) */
  add_order: { args: AddOrder; reply: Made };
  /** Enters what must be so before an assembly may close. (command) */
  add_hold_point: { args: AddHoldPoint; reply: Made };
  /** Begins a tightening run: bolts, order and passes. (command) */
  add_tightening_run: { args: AddTighteningRun; reply: Made };
  /** Changes what is known of the car; its id is 'car'. (command) */
  change_car: { args: ChangeCar; reply: Made };
  /** Changes a device's name. (command) */
  change_device: { args: ChangeDevice; reply: Made };
  /** Changes a keeper. (command) */
  change_keeper: { args: ChangeKeeper; reply: Made };
  /** Changes an assembly; it is closed by 'close_up' only. (command) */
  change_assembly: { args: ChangeAssembly; reply: Made };
  /** Changes a part. (command) */
  change_part: { args: ChangePart; reply: Made };
  /** Changes a finding. (command) */
  change_finding: { args: ChangeFinding; reply: Made };
  /** Changes a job. (command) */
  change_job: { args: ChangeJob; reply: Made };
  /** Changes a try. (command) */
  change_try: { args: ChangeTry; reply: Made };
  /** Changes what a photo shows or its caption. (command) */
  change_photo: { args: ChangePhoto; reply: Made };
  /** Changes a container. (command) */
  change_container: { args: ChangeContainer; reply: Made };
  /** Changes a limit. (command) */
  change_limit: { args: ChangeLimit; reply: Made };
  /** Changes an instrument. (command) */
  change_instrument: { args: ChangeInstrument; reply: Made };
  /** Changes a reading. (command) */
  change_reading: { args: ChangeReading; reply: Made };
  /** Changes an order. (command) */
  change_order: { args: ChangeOrder; reply: Made };
  /** Changes a hold point, or says that it is met. (command) */
  change_hold_point: { args: ChangeHoldPoint; reply: Made };
  /** Changes a tightening run. (command) */
  change_tightening_run: { args: ChangeTighteningRun; reply: Made };
  /** Enters several parts that are alike but for their position, as one change. (command) */
  add_parts: { args: AddParts; reply: MadeMany };
  /** Says how the car stands: each thing can hurt somebody, and is shown at the top on every device until it is ended. (command) */
  say_how_it_stands: { args: SayHowItStands; reply: Array<Made> };
  /** Adds a line to your own sheet of a day; of an assembly as well, where one is named. (command) */
  note: { args: Note; reply: Noted };
  /** Rewrites your own sheet of a day; what came in since you read it stays. (command) */
  write_sheet: { args: WriteSheet; reply: Done };
  /** Puts your hours at the bench of a day. (command) */
  put_hours: { args: PutHours; reply: Done };
  /** Strikes an entry out, with a reason. It stays readable. What stands inside is never struck out of sight. (command) */
  strike: { args: Strike; reply: Done };
  /** Moves up, or strikes out too, what was left in an assembly or a container that was struck out. (command) */
  clear_struck: { args: ClearStruck; reply: Done };
  /** Takes a strike back, and with it what was struck out inside in the same act. (command) */
  take_back: { args: TakeBack; reply: Done };
  /** Closes an assembly up; refused while anything inside it is open and not waived with a reason. (command) */
  close_up: { args: CloseUp; reply: Done };
  /** Takes back that this device closed an assembly up by a slip: nothing in it is asked anew. (command) */
  take_back_closing: { args: TakeBackClosing; reply: Done };
  /** Puts parts in their places: out of their bags, and into the assembly they belong to. (command) */
  put_in_place: { args: PutInPlace; reply: Done };
  /** Says in which order the parts of an assembly stand along a shaft, as one change. (command) */
  stack_parts: { args: StackParts; reply: Done };
  /** Settles a point by one of its choices. (command) */
  settle: { args: Settle; reply: Done };
  /** Reopens what was agreed: its point stands again, with both sides as they were and who reopened it and why. (command) */
  reopen: { args: Reopen; reply: Done };
  /** Takes back that something agreed was reopened: it holds as it was agreed. (command) */
  agree_again: { args: AgreeAgain; reply: Done };
  /** Begins the record of a car on this device. (command) */
  start_record: { args: StartRecord; reply: RecordLine };
  /** Joins a record from a carry file that holds everything. (command) */
  join_record: { args: JoinRecord; reply: RecordLine };
  /** Writes a carry file: what one device lacks, or everything. (command) */
  carry_out: { args: CarryOutFile; reply: CarryOut };
  /** How long a carry file would be: what one device lacks, or everything. (query) */
  carry_size: { args: CarrySizeOf; reply: CarrySize };
  /** Takes a carry file in, into the record it belongs to. (command) */
  carry_in: { args: CarryInFile; reply: Meeting };
  /** What revoked devices wrote later: set aside, shown, and never merged. (query) */
  aside: { args: Aside; reply: AsidePage };
  /** Makes the read tables anew from the document. (command) */
  rebuild: { args: Rebuild; reply: RebuildReport };
  /** Says which car this device shows from now on. (command) */
  choose_record: { args: ChooseRecord; reply: Done };
  /** Whether it is to be said that this data folder is the same device, moved here, or a copy. (query) */
  folder: { args: Folder; reply: FolderPage };
  /** Says which device this data folder is: the same, moved here; or a copy, which becomes a device of its own. (command) */
  folder_is: { args: FolderIs; reply: FolderPage };
  /** Gives up entries that a check tells are gone: it is silent about them from then on. Should a device that has them be met later, they come back all the same. (command) */
  let_go: { args: LetGo; reply: GivenUp };
  /** Proposes six words that a carry file may be sealed to; they are kept nowhere. (query) */
  passphrase: { args: Passphrase; reply: Proposed };
  /** Lists the long work that goes on: a check, a carry file on its way out, the read tables made anew. (query) */
  underway: { args: WhatIsUnderway; reply: Array<Underway> };
  /** Stops long work: no file of it is left, and what it had not come to stays as it was. (command) */
  stop: { args: Stop; reply: Done };
  /** The tour that a folder of the demo gives of itself; no steps anywhere else, and none once it was left. (query) */
  tour: { args: TourOf; reply: Tour };
  /** Leaves the demo's tour: it is not offered again in this folder. No record holds any of it. (command) */
  leave_tour: { args: LeaveTour; reply: Done };
  /** The devices that the record is kept on, and which of them are met no more. (query) */
  members: { args: Members; reply: Array<MemberLine> };
  /** Says that a device is met no more: lost, sold, stolen. It stands for good. (command) */
  revoke: { args: Revoke; reply: Done };
  /** Cuts off a device that was paired here and that the record does not name. (command) */
  cut: { args: Cut; reply: Done };
  /** Who is here, and how meeting each device stands. (query) */
  meetings: { args: Meetings; reply: MeetingsPage };
  /** Looks for every device of the record at once. (query) */
  meet_now: { args: MeetNow; reply: MeetingsPage };
  /** Chooses whether and by which roads this device meets others. (command) */
  live: { args: Live; reply: MeetingsPage };
  /** Opens a ticket, or digits to read out, by which one more device can be paired: two minutes, one guest, three tries. (command) */
  pair_open: { args: PairOpen; reply: PairTicket };
  /** Follows a ticket that another device shows, or digits that its keeper reads out. (command) */
  pair_join: { args: PairJoin; reply: Pairs };
  /** How pairing stands, with the digits that both keepers compare. (query) */
  pair_code: { args: PairCode; reply: Pairs };
  /** The keeper's word on whether both devices show the same digits; no ends the pairing. (command) */
  pair_confirm: { args: PairConfirm; reply: Pairs };
  /** The places through which this record meets other devices, and what was found there. (query) */
  drops: { args: Drops; reply: DropsPage };
  /** Adds a place through which this record meets other devices. (command) */
  drop_add: { args: DropAdd; reply: DropsPage };
  /** Forgets a drop; what lies there stays there. (command) */
  drop_remove: { args: DropRemove; reply: DropsPage };
  /** Asks for a look at a drop, or at all of them, in the background. (command) */
  drop_look: { args: DropLook; reply: DropsPage };
  /** How much the next look at a drop would read and write; ask again while it is busy. (query) */
  drop_ahead: { args: DropAhead; reply: DropAheadPage };
}
