// The notebook as the pages know it: the chosen face, the cars on this device, and who listens for patches. It mirrors;
// it never decides anything and keeps nothing that the notebook does not.
import type { Id, Meeting, Patch, RecordLine, Ref, Underway } from '../generated/wire';
import { Refused, refused, type Args, type Face, type Name, type Opening, type Reply } from '../faces/face';

/** After so long without an answer it is said, in milliseconds. */
const LONG = 6_000;

type Listener = (patch: Patch) => void;

/** A reply, and the marks of all that it was made of; none where it is not known what that was. */
export type Told<T> = { reply: T; lookedAt: readonly string[] | null };

class Notebook {
  /** Cars that this device keeps. */
  records = $state.raw<RecordLine[]>([]);
  /** The one shown. */
  record = $state<Id>('');
  /** Whether the list of cars has come in. */
  ready = $state(false);
  /** Whether patches reach this page. */
  reached = $state(true);

  /** Whether something has had no answer for long. */
  slow = $state(false);

  /** Long work that goes on, as far as it was told. */
  underway = $state.raw<Underway[]>([]);

  #face: Face | null = null;
  #waits = new Set<() => void>();
  #listeners = new Set<Listener>();

  /** The car shown, with its keeper and device. */
  get current(): RecordLine | undefined {
    return this.records.find((line) => line.id === this.record);
  }

  /** Opens the way to the notebook. */
  async open(face: Face): Promise<void> {
    this.#face = face;
    let first = true;
    face.watch(
      (patch) => this.#tell(patch),
      (open) => {
        // What was changed while the way was lost is not told again, so everything shown is asked anew.
        if (open && !first && !this.reached) {
          this.#tell({ record: '', touched: [], marks: [], points: true });
          this.#askUnderway();
        }
        first = false;
        this.reached = open;
      },
    );
    await this.askRecords();
  }

  /** Asks which cars there are. */
  async askRecords(): Promise<void> {
    this.records = await this.call('records', {});
    const wanted = this.records.find((line) => line.id === this.record) ?? this.records.find((line) => line.current) ?? this.records[0];
    this.record = wanted?.id ?? '';
    this.ready = true;
  }

  /** Shows another car on this device. */
  async choose(record: Id): Promise<void> {
    await this.call('choose_record', { record });
    this.record = record;
    await this.askRecords();
  }

  /** Calls the registry for the car shown. */
  async call<N extends Name>(name: N, args: Args<N>): Promise<Reply<N>> {
    return (await this.ask(name, args)).reply;
  }

  /** Calls the registry, and says what the reply was made of: the marks of all that was looked at, none where that is not known. */
  async ask<N extends Name>(name: N, args: Args<N>): Promise<Told<Reply<N>>> {
    try {
      const request = { name, args, ...(this.record ? { record: this.record } : {}) };
      const { reply, looked_at } = await this.#answer(this.face.call(request));
      return { reply: reply as Reply<N>, lookedAt: looked_at };
    } catch (thrown) {
      throw refused(thrown);
    }
  }

  /** Takes a carry file in, and shows what it brought. */
  async carryIn(bytes: Blob, how: Opening): Promise<Meeting> {
    const meeting = await this.#answer(this.face.carryIn(this.record, bytes, how));
    this.#tell({ record: this.record, touched: [], marks: [], points: true });
    return meeting;
  }

  /** Joins by a carry file. */
  async join(bytes: Blob, keeper: string, device: string, passphrase: string | null): Promise<void> {
    // The notebook shows what was joined last by itself.
    this.record = (await this.#answer(this.face.join(bytes, keeper, device, passphrase))).id;
    await this.askRecords();
  }

  /** The face chosen at the start. */
  get face(): Face {
    if (!this.#face) throw new Error('the face is chosen before anything is asked');
    return this.#face;
  }

  /** Listens until the returned function is called. */
  listen(listener: Listener): () => void {
    this.#listeners.add(listener);
    return () => this.#listeners.delete(listener);
  }

  /** Whatever shows this entry asks for it again: something of it that no change of the record tells of is another. */
  askAgain(name: Ref): void {
    this.#tell({ record: this.record, touched: [name], marks: [name], points: false });
  }

  /** Gives up every wait that is long already; what was asked may still be done. */
  waitNoLonger(): void {
    for (const leave of [...this.#waits]) leave();
  }

  /** Waits for an answer, and lets the keeper give it up once that takes long. */
  #answer<T>(asked: Promise<T>): Promise<T> {
    return new Promise((done, fail) => {
      const leave = () => {
        over();
        fail(new Refused('unreachable', 'The notebook did not answer. It may still do what was asked: look, before you press once more.'));
      };
      const over = () => {
        clearTimeout(timer);
        this.#waits.delete(leave);
        this.slow = this.#waits.size > 0;
      };
      const timer = setTimeout(() => {
        this.#waits.add(leave);
        this.slow = true;
      }, LONG);
      asked.then(done, fail).finally(over);
    });
  }

  /** Stops long work; what is over by then has nothing to stop. */
  stop(number: number): void {
    this.call('stop', { number }).catch(() => {});
  }

  /** That something is over is not told again to whoever was away. */
  #askUnderway(): void {
    this.call('underway', {}).then(
      (lines) => (this.underway = lines),
      () => (this.underway = []),
    );
  }

  #tell(patch: Patch): void {
    const work = patch.underway;
    if (work) {
      const others = this.underway.filter((line) => line.number !== work.number);
      this.underway = work.over ? others : [...others, work];
      return;
    }
    for (const listener of [...this.#listeners]) listener(patch);
    // A car that came by a meeting, or a name in the line of one: the list is asked for again, quietly.
    const known = patch.record === '' || this.records.some((line) => line.id === patch.record);
    if (!known || patch.touched.some((ref) => /^(car|keeper|device):/.test(ref))) this.askRecords().catch(() => {});
  }
}

/** The one notebook of the page. */
export const notebook = new Notebook();
