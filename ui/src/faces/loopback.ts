// The loopback face: the notebook served to a browser on the same machine. It sends nothing anywhere else, and keeps
// the run's token for this tab only.
import type { Answered, CarryOut, Meeting, Patch, RecordLine, TakenPhoto } from '../generated/wire';
import { between, shared, type Ears } from './stream';
import { Refused, refused, sendable, type Face, type Request } from './face';

const KEPT = 'witnessmark-token';
const HEADER = 'X-Witnessmark-Token';
const SEALED = 'X-Witnessmark-Sealed';

const inFragment = () => /(?:^#|&)token=([^&]+)/.exec(location.hash)?.[1];

/** Takes the token out of the address, so that it is in no bookmark and no picture of the screen. */
function takeToken(): string {
  const query = new URLSearchParams(location.search).get('token');
  const fragment = inFragment();
  const token = query ?? (fragment ? decodeURIComponent(fragment) : null);
  if (token) {
    sessionStorage.setItem(KEPT, token);
    history.replaceState(null, '', location.pathname + (fragment ? '' : location.hash));
  }
  return token ?? sessionStorage.getItem(KEPT) ?? '';
}

/** The face of `witnessmark serve`. */
export function loopback(): Face {
  const token = takeToken();
  // The address of the program's next run, opened in this same tab, differs in its fragment only: no browser loads it anew.
  addEventListener('hashchange', () => {
    if (!inFragment()) return;
    takeToken();
    location.reload();
  });
  const query = `token=${encodeURIComponent(token)}`;

  async function send(path: string, init: RequestInit): Promise<Answered> {
    let response: Response;
    try {
      response = await fetch(path, { ...init, headers: { ...init.headers, [HEADER]: token } });
    } catch {
      throw new Refused('unreachable', 'The notebook does not answer. What you typed is still here: start the program again, and open the address that it prints in this browser.');
    }
    const text = await response.text();
    let said: { reply?: unknown; looked_at?: string[] | null; refusal?: unknown } | null = null;
    try {
      said = JSON.parse(text) as { reply?: unknown; looked_at?: string[] | null; refusal?: unknown };
    } catch {
      // Said below: what is no JSON is no answer of the notebook.
    }
    if (said?.refusal !== undefined) throw refused(said.refusal);
    if (response.ok && said && 'reply' in said) return { reply: said.reply, looked_at: said.looked_at ?? null };
    throw new Refused('broken', 'The notebook answered with something that cannot be read.');
  }

  // A passphrase goes in a header: an address may be written down somewhere.
  const bytes = async (path: string, body: Blob, said: Record<string, string> = {}) => {
    const { reply } = await send(path, {
      method: 'POST',
      body,
      headers: {
        'Content-Type': 'application/octet-stream',
        ...(Object.keys(said).length === 0 ? {} : { [SEALED]: new URLSearchParams(said).toString() }),
      },
    });
    return reply;
  };

  return {
    call: (request: Request) =>
      send('call', { method: 'POST', body: JSON.stringify(request), headers: { 'Content-Type': 'application/json' } }),
    watch(patch, way) {
      const open = (ears: Ears) => {
        const source = new EventSource(`patches?${query}`);
        source.onmessage = (event) => ears.patch(JSON.parse(event.data as string) as Patch);
        // Told when this stream fell behind: everything shown is asked for again.
        source.addEventListener('behind', () => ears.patch({ record: '', touched: [], marks: [], points: true }));
        source.onopen = () => ears.way(true);
        source.onerror = () => ears.way(false);
      };
      shared(`patches ${token}`, open, { patch, way }, between());
    },
    putPhoto: async (_record, body) => (await bytes('photo', sendable(body))) as TakenPhoto,
    carryIn: async (_record, body, { passphrase, welcome }) =>
      (await bytes('carry', body, { ...(passphrase === undefined ? {} : { passphrase }), ...(welcome ? { welcome: 'true' } : {}) })) as Meeting,
    join: async (body, keeper, device, passphrase) =>
      (await bytes(`carry?${new URLSearchParams({ keeper, device_name: device })}`, body, passphrase === null ? {} : { passphrase })) as RecordLine,
    photo: (_record, hash, size) => `photo/${hash}/${size}?${query}`,
    carryAddress: (out: CarryOut) => `carry/${encodeURIComponent(out.name)}?${query}`,
  };
}
