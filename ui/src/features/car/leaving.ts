// Which jobs are left half done by whoever leaves an assembly: begun or tried at while one was there, and nobody has said since where they
// stop. It writes nothing and asks nothing; whoever shows the pages hears of it when another place is gone to.
import type { Id, JobLine } from '../../generated/wire';
import type { Where } from '../../state/route.svelte';

type Found = { state: string; tries: number; leftOff: string | null };
const foundOf = (job: JobLine): Found => ({ state: job.state, tries: job.tries.length, leftOff: job.left_off });

export class Visit {
  #assembly: Id = '';
  #came = new Map<Id, Found>();
  #jobs: readonly JobLine[] = [];

  /** The jobs of an assembly as they are shown; the first look is how one found them. */
  look(assembly: Id, jobs: readonly JobLine[]): void {
    if (assembly !== this.#assembly) {
      this.#assembly = assembly;
      this.#came = new Map(jobs.map((job) => [job.id, foundOf(job)]));
    }
    this.#jobs = jobs;
  }

  /** Another page is shown: what was left half done, where that is another place; nothing as long as one looks at what is in there. */
  moved({ place, thing }: Pick<Where, 'place' | 'thing'>): readonly JobLine[] {
    const inside = place === 'car' && (thing === `assembly:${this.#assembly}` || /^(?!assembly:|differs$|earlier_hand$)./.test(thing));
    if (inside || !this.#assembly) return [];
    const left = this.#jobs.filter((job) => {
      const came = this.#came.get(job.id);
      const was = came ?? { state: 'open', tries: 0, leftOff: null };
      const touched = was.state !== 'begun' || job.tries.length > was.tries;
      return job.state === 'begun' && touched && job.left_off === was.leftOff;
    });
    [this.#assembly, this.#came, this.#jobs] = ['', new Map(), []];
    return left;
  }
}

/** The one visit of the pages. */
export const visit = new Visit();
