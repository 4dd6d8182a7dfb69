// The loopback face: the notebook served to a browser on the same machine. It sends nothing anywhere else, and keeps
// the run's token for this tab only.
import type { CarryOut, Id, Meeting, Patch } from '../generated/wire';
import { Refused, refused, type Face, type PhotoPut, type Request } from './face';

const KEPT = 'witnessmark-token';
const HEADER = 'X-Witnessmark-Token';
const RECORD = 'X-Witnessmark-Record';

/** Takes the token out of the address, so that it is in no bookmark and no picture of the screen. */
function takeToken(): string {
  const query = new URLSearchParams(location.search).get('token');
  const fragment = /(?:^#|&)token=([^&]+)/.exec(location.hash)?.[1];
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
  const query = `token=${encodeURIComponent(token)}`;

  async function send(path: string, init: RequestInit): Promise<unknown> {
    let response: Response;
    try {
      response = await fetch(path, { ...init, headers: { ...init.headers, [HEADER]: token } });
    } catch {
      throw new Refused('unreachable', 'The notebook does not answer. What you typed is still here; start the program again and press once more.');
    }
    const text = await response.text();
    let said: unknown = null;
    try {
      said = text === '' ? null : JSON.parse(text);
    } catch {
      if (response.ok) throw new Refused('broken', 'The notebook answered with something that cannot be read.');
    }
    if (response.ok) return said;
    if (said !== null) throw refused(said);
    if (response.status === 401 || response.status === 403) {
      throw new Refused('token', 'This page was opened by an earlier run. Open the address that the program prints now.');
    }
    throw new Refused('broken', text || `The notebook refused (${response.status}).`);
  }

  const bytes = (path: string, body: Blob, record?: Id) =>
    send(path, {
      method: 'POST',
      body,
      headers: { 'Content-Type': 'application/octet-stream', ...(record ? { [RECORD]: record } : {}) },
    });
  const of = (record: Id) => (record ? `?record=${encodeURIComponent(record)}` : '');

  return {
    call: (request: Request) =>
      send('call', { method: 'POST', body: JSON.stringify(request), headers: { 'Content-Type': 'application/json' } }),
    watch(patch, way) {
      const source = new EventSource(`patches?${query}`);
      source.onmessage = (event) => patch(JSON.parse(event.data as string) as Patch);
      source.onopen = () => way(true);
      source.onerror = () => way(false);
    },
    putPhoto: async (record, body) => (await bytes(`photo${of(record)}`, body, record)) as PhotoPut,
    carryIn: async (record, body) => (await bytes(`carry${of(record)}`, body, record)) as Meeting,
    join: async (body, keeper, device) => {
      const wish = new URLSearchParams({ join: '1', keeper, device_name: device });
      await bytes(`carry?${wish}`, body);
    },
    photo: (record, hash, size) =>
      `photo/${hash}/${size}?${query}${record ? `&record=${encodeURIComponent(record)}` : ''}`,
    carryAddress: (out: CarryOut) => `carry/${encodeURIComponent(out.name)}?${query}`,
  };
}
