// The window's face: the only file that imports Tauri. It never does more than pass calls, bytes and patches on.
import { Channel, invoke } from '@tauri-apps/api/core';
import type { Answered, Meeting, Patch, RecordLine, TakenPhoto } from '../generated/wire';
import { refused, sendable, type Face, type Opening, type Request } from './face';

const RECORD = 'witnessmark-record';

async function ask(command: string, args?: Parameters<typeof invoke>[1], headers?: Record<string, string>): Promise<unknown> {
  try {
    return await invoke(command, args, headers ? { headers } : undefined);
  } catch (thrown) {
    throw refused(thrown);
  }
}

const raw = async (bytes: Blob) => new Uint8Array(await bytes.arrayBuffer());

const sealed = (passphrase: string | null): Record<string, string> =>
  passphrase === null ? {} : { 'witnessmark-passphrase': encodeURIComponent(passphrase) };

/** The face of the desktop window. */
export function tauri(): Face {
  return {
    call: async (request: Request) => (await ask('call', { request })) as Answered,
    watch(patch, way) {
      const patches = new Channel<Patch>();
      patches.onmessage = patch;
      ask('watch', { patches }).then(
        () => way(true),
        () => way(false),
      );
    },
    putPhoto: async (record, bytes) => (await ask('put_photo', await raw(sendable(bytes)), { [RECORD]: record })) as TakenPhoto,
    carryIn: async (record, bytes, { passphrase, welcome }: Opening) => {
      const said = { [RECORD]: record, ...sealed(passphrase ?? null), ...(welcome ? { 'witnessmark-welcome': 'yes' } : {}) };
      return (await ask('carry_in', await raw(bytes), said)) as Meeting;
    },
    join: async (bytes, keeper, device, passphrase) => {
      const said = {
        'witnessmark-keeper': encodeURIComponent(keeper),
        'witnessmark-device': encodeURIComponent(device),
        ...sealed(passphrase),
      };
      return (await ask('join', await raw(bytes), said)) as RecordLine;
    },
    photo: (record, hash, size) => `photo://localhost/${record}/${hash}/${size}`,
    carryAddress: () => null,
  };
}
